"""Who goes when, and the dated list for a client. Our own rules, no source."""

from datetime import date

import pytest

from faults.models import (
    JobKind,
    JobState,
)
from faults.rounds.services.dates import dated_list
from faults.rounds.services.sending import send_on_round
from faults.rounds.services.told import (
    UnableToPlanRound,
)
from sites.models import Controller, Property, User
from tests import make, make_jobs, make_rounds
from tests.services.rounds.scene import TODAY, run, seen, stations, visit

pytestmark = pytest.mark.django_db


def test_a_crew_gets_the_visits_in_order_as_they_fit_into_its_days(user: User) -> None:
    places = [make.place(code=code) for code in ("P1", "P2", "P3", "P4")]
    for place in places:
        make.station(controller=make.controller(property=place))
    the_round = make_rounds.round_over(*places, minutes_each=240)
    make_rounds.planned(the_round)
    crew = make_jobs.crew(user)
    monday = date(2025, 6, 16)
    make_jobs.job(crew=crew, day=monday, expected_minutes=200)
    sent = send_on_round(
        the_round=the_round, crew=crew, first_day=monday, by=user, at=make.NOW, today=TODAY
    )
    assert [job.property.code for job in sent.jobs] == ["P1", "P2", "P3", "P4"]
    days = {job.property.code: job.day for job in sent.jobs}
    # 540 minutes a day: one beside the 200 that are planned, then two a day.
    assert [days[code] and days[code].day for code in ("P1", "P2", "P3", "P4")] == [16, 17, 17, 18]
    with pytest.raises(UnableToPlanRound, match="has a crew already"):
        send_on_round(
            the_round=the_round, crew=crew, first_day=monday, by=user, at=make.NOW, today=TODAY
        )


def test_a_crew_without_the_skill_is_not_sent_on_a_check_up(clock: Controller, user: User) -> None:
    the_round = make_rounds.round_over(clock.property, purpose=JobKind.CHECK_UP.value)
    job = visit(the_round)
    crew = make_jobs.crew(user, skill=1)
    with pytest.raises(UnableToPlanRound, match="needs skill 2"):
        send_on_round(
            the_round=the_round, crew=crew, first_day=TODAY, by=user, at=make.NOW, today=TODAY
        )
    job.refresh_from_db()
    assert (job.crew, job.state) == (None, JobState.PLANNED)


def test_the_dated_list_holds_what_was_done_and_what_comes(clock: Controller, user: User) -> None:
    place: Property = clock.property
    the_round = make_rounds.round_over(
        place, by=user, repeats="interval", rule="FREQ=MONTHLY;INTERVAL=3", within_days=10
    )
    job = visit(the_round)
    seen(stations(clock)[0])
    run(job, user)
    make_rounds.round_over(make.place(), by=user, name="Elsewhere")
    rows = dated_list(
        user,
        since=TODAY,
        until=date(2025, 12, 25),
        at=make.NOW,
        client=place.client_id,
    )
    told = [(row.due_on.isoformat(), row.state, row.progress and row.progress.done) for row in rows]
    assert told == [
        ("2025-06-25", "done", 1),
        ("2025-09-25", "comes", None),
        ("2025-12-25", "comes", None),
    ]
    assert "nobody said why" in rows[0].left
    assert rows[1].left == ""
    shorter = dated_list(user, since=TODAY, until=date(2025, 12, 24), at=make.NOW)
    assert [row.due_on.isoformat() for row in shorter if row.place == place][-1] == "2025-09-25"
