"""What a forecast is made of, and what is kept of it."""

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.utils import timezone

from faults.models import Asked
from reports.ahead.engines.queue import NEVER
from reports.ahead.services.gathering import Company, gather
from reports.ahead.services.working_out import worked_out
from reports.summaries.services.kept_runs import places_of
from sites.kernel.engines.roles import Role
from sites.models import Controller, User
from sites.runs.services import Silent, UnableToFinish
from tests import make, make_jobs

pytestmark = pytest.mark.django_db

TODAY = make.TODAY


@pytest.fixture(autouse=True)
def on_the_day() -> Iterator[None]:
    with time_machine.travel(make.NOW, tick=False):
        yield


@pytest.fixture
def owner(db: None) -> User:
    return make.user(Role.OWNER)


@pytest.fixture
def clock(db: None) -> Controller:
    return make.controller()


def was_off(clock: Controller, start: int, days: int | None, **given: Any) -> None:
    """Fit a timer so many days ago, for so many days; None where it is still there."""
    on = TODAY - timedelta(days=start)
    ended = None if days is None else on + timedelta(days=days)
    make.stopgap(station=make.station(controller=clock), on=on, removed_on=ended, **given)


def gathered(owner: User) -> Company:
    return gather(Silent(), user=owner, places=places_of(owner), today=TODAY, at=timezone.now())


def test_a_past_is_in_days_from_today(owner: User, clock: Controller) -> None:
    was_off(clock, 300, 40)
    was_off(clock, 300, None)
    was_off(clock, 20, None)
    past = gathered(owner).past
    assert past.off_on.tolist() == [-300, -300, -20]
    assert sorted(past.back_on.tolist()) == [-260, NEVER, NEVER]
    assert past.event.tolist() == [0, 0, 1]
    assert (past.since, past.year_day) == (-300, 165)


def test_records_of_long_ago_are_left_out(owner: User, clock: Controller) -> None:
    was_off(clock, 3000, 40)
    assert gathered(owner).past.since == pytest.approx(-3 * 365.25)


def test_the_clients_choice_stays_off(owner: User, clock: Controller) -> None:
    was_off(clock, 50, None, reason="client's choice")
    was_off(clock, 40, None)
    left = make.station(controller=clock)
    make.stopgap(station=left, on=date(2025, 3, 1), removed_on=date(2025, 4, 1))
    make.stopgap(station=left, on=date(2025, 4, 1), reason="client's choice")
    found = gathered(owner)
    assert int(found.past.open.sum()) == 1
    assert found.stay == {clock.property_id: 2}


def test_what_nobody_knows_since_when_is_in_the_queue(owner: User, clock: Controller) -> None:
    make.stopgap(
        station=make.station(controller=clock), fitted_earliest=None, fitted_latest=None,
        first_seen_on=date(2025, 2, 1))  # fmt: skip
    found = gathered(owner)
    assert (int(found.past.open.sum()), found.undated) == (1, 1)
    assert found.past.off_on.tolist() == [-134]


def test_work_is_that_of_return_first(owner: User, clock: Controller) -> None:
    """Two stations, one with a fault of its own: the work of an ordinary one is 1."""
    was_off(clock, 50, None)
    lone = make.station(controller=clock)
    make.stopgap(station=lone, on=TODAY - timedelta(days=40))
    make.fault(lone, reported_on=TODAY - timedelta(days=40), stage="mended")
    found = gathered(owner)
    assert found.minutes is not None
    assert found.known.work.mean() == pytest.approx(1)
    assert found.known.work[0] > found.known.work[1] > 0


def test_answers_count_those_that_still_wait(owner: User, clock: Controller) -> None:
    station = make.station(controller=clock)
    for n in range(5):
        fault = make.fault(station, reported_on=TODAY - timedelta(days=60))
        asked_on = TODAY - timedelta(days=30)
        given = {"fault": fault, "asked_on": asked_on, "asked_of": "Ann", "what": "May we dig?"}
        if n < 4:
            given |= {"answer": "yes", "answered_on": asked_on + timedelta(days=2 * n + 1)}
        Asked.objects.create(**given)
        if n == 3:
            assert len(gathered(owner).known.answers) == 0  # four say nothing
    known = gathered(owner).known
    assert known.asked == 1
    assert (known.answers.min(), known.answers.max()) == (1.5, 30.5)
    assert sorted(set(known.answers.tolist())) == [1.5, 3.5, 5.5, 7.5, 30.5]


def test_too_little_says_what_it_takes(owner: User, clock: Controller) -> None:
    was_off(clock, 300, 40)
    with pytest.raises(UnableToFinish, match="five stations"):
        worked_out(Silent(), user=owner, today=TODAY)


def test_what_is_kept(owner: User, clock: Controller) -> None:
    for n in range(24):
        was_off(clock, 700 - 28 * n, 40 if n < 20 else None)
    was_off(clock, 20, None, reason="client's choice")
    make_jobs.crew()
    found = worked_out(Silent(), user=owner, today=TODAY)
    assert (found["off"], found["stay"], found["crews"], found["old"]) == (5, 1, 1, 0)
    assert found["none_old_on"] == TODAY.isoformat()
    assert found["months"][0] == ["2025-06-15", 5, 5, 5, 5, 5]
    assert [month[0] for month in found["months"][1:3]] == ["2025-06-30", "2025-07-31"]
    assert len(found["months"]) == 25
    for _day, *points in found["months"]:
        assert points == sorted(points)
    (more,) = [each for each in found["changes"] if each["name"] == "more crew"]
    assert more["days_off"] <= found["days_off"]
    assert found["scores"]["all"]["forecasts"] == 29
    assert found == worked_out(Silent(), user=owner, today=TODAY)


def test_the_last_day_of_a_month_stands_once(owner: User, clock: Controller) -> None:
    for n in range(12):
        was_off(clock, 390 - 28 * n, 20)
    found = worked_out(Silent(), user=owner, today=date(2025, 5, 31))
    assert [month[0] for month in found["months"][:2]] == ["2025-05-31", "2025-06-30"]
