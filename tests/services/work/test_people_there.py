"""Who was there: man-hours are the sum of people, on the page, on the phone and in spending."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from faults.cases.services.spending import spending_of
from faults.models import Job, JobState, LineBasis, PersonThere
from faults.prices.engines.pricing import Charge
from faults.sheet.forms.payload import sheet_payload
from faults.sheet.services.inbox import take_in
from faults.work.services.doing import finish_job
from faults.work.services.lines import add_line
from faults.work.services.people import (
    Times,
    correct_person,
    note_people,
    put_person_back,
    remove_person,
)
from faults.work.services.proposed import Proposed, visit_of
from faults.work.services.told import LineFacts, UnableToWork
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_jobs, make_prices
from tests.make import NOW, TODAY

pytestmark = pytest.mark.django_db
AT = datetime(2025, 6, 15, 20, tzinfo=UTC)
MORNING = Times(TODAY, time(8), time(11))


@pytest.fixture
def two() -> list[User]:
    """Two technicians."""
    return [make.user(Role.TECHNICIAN), make.user(Role.TECHNICIAN)]


@pytest.fixture
def job(two: list[User]) -> Job:
    """A visit of a crew of two, under way since eight, to a fault with a price list."""
    make_prices.price_list({Charge.TRACING: 65, Charge.HELPER: 40, Charge.STANDBY: 45})
    return make_jobs.started(
        fault=make.fault(),
        crew=make_jobs.crew(*two),
        started_at=datetime(2025, 6, 15, 8, tzinfo=UTC),
    )


def note(
    job: Job, people: Sequence[User], times: Times = MORNING, did: str = "tracing", others: str = ""
) -> list[PersonThere]:
    """Enter people."""
    return note_people(
        job=job, people=people, others=[others], did=did, times=times, by=make.user(), at=AT
    )


def finish(job: Job, minutes: int) -> None:
    """End the visit."""
    finish_job(job=job, actual_minutes=minutes, at=AT, by=make.user())


def asked_for(job: Job) -> dict[str, Decimal]:
    """The hours of the lines that the visit still asks for, by what was done."""
    visit = visit_of(job, list(job.lines.all()))
    assert visit is not None
    return {one.charge.value: one.quantity for one in visit.proposed}


def keep(job: Job, proposed: Proposed, **given: object) -> None:
    """Make a proposed line."""
    usual = {"basis": "billable", "on": TODAY, "what": "work", "unit": proposed.unit}
    usual |= {"kind": proposed.kind.value, "quantity": proposed.quantity}
    usual |= {"charge": proposed.charge.value, "unit_price": proposed.price}
    facts = LineFacts(**{**usual, **given})  # type: ignore[arg-type]
    add_line(job=job, facts=facts, by=make.user(), today=TODAY)


def test_two_people_of_180_minutes_are_6_hours_everywhere(job: Job, two: list[User]) -> None:
    note(job, two)
    finish(job, 180)
    visit = visit_of(job, [])
    assert visit is not None
    assert visit.man_hours == 6
    (line,) = visit.proposed
    assert (line.quantity, line.price) == (Decimal("6.00"), 65)
    assert job.fault is not None
    assert spending_of(job.fault, at=AT).used_man_min == 360
    assert spending_of(job.fault, at=AT, in_money=True).money.amount == 390
    data = sheet_payload(job=job, user=two[0], today=TODAY, at=AT)
    make.authority(property=job.property, up_to_hours=Decimal(10))
    data = sheet_payload(job=job, user=two[0], today=TODAY, at=AT)
    assert data["authority"]["entered_man_min"] == 360
    keep(job, line)
    assert asked_for(job) == {}
    assert spending_of(job.fault, at=AT, in_money=True).money.amount == 390


def test_nobody_entered_the_whole_crew_counts_and_one_entered_is_said(
    job: Job, two: list[User]
) -> None:
    finish(job, 180)
    assert asked_for(job) == {"tracing": Decimal("6.00")}
    note(job, two[:1])
    assert asked_for(job) == {"tracing": Decimal("3.00")}
    visit = visit_of(job, [])
    assert visit is not None
    assert visit.crew_words == "1 entered; the crew of that day has 2."


def test_lines_are_proposed_by_what_was_done_less_what_is_entered(
    job: Job, two: list[User]
) -> None:
    note(job, two[:1])
    note(job, two[1:], did="helper")
    note(job, two[1:], Times(TODAY, time(11), time(11, 30)), did="standby")
    finish(job, 210)
    assert asked_for(job) == {"tracing": 3, "helper": 3, "standby": Decimal("0.5")}
    assert job.fault is not None
    total = 3 * 65 + 3 * 40 + Decimal("22.50")
    assert spending_of(job.fault, at=AT, in_money=True).money.amount == total
    visit = visit_of(job, [])
    assert visit is not None
    of = {one.charge.value: one for one in visit.proposed}
    keep(job, of["helper"], quantity=Decimal(1))
    assert asked_for(job) == {"tracing": 3, "helper": 2, "standby": Decimal("0.5")}
    # Warranty work is spent in hours and charges nothing.
    keep(job, of["tracing"], basis=LineBasis.WARRANTY.value)
    assert asked_for(job) == {"helper": 2, "standby": Decimal("0.5")}
    spent = spending_of(job.fault, at=AT, in_money=True)
    assert spent.money.amount == 40 + 2 * 40 + Decimal("22.50")
    assert spent.used_man_min == 390
    # What a line names beyond its own charge covers the others.
    keep(job, of["standby"], quantity=Decimal("2.5"))
    assert asked_for(job) == {}


def test_a_trip_and_a_minimum_are_proposed_once(job: Job, two: list[User]) -> None:
    rates = {Charge.TRACING: 65, Charge.TRIP: 30, Charge.MINIMUM: 150}
    make_prices.price_list(rates, property=job.property)
    note(job, two[:1], Times(TODAY, time(8), time(9)))
    finish(job, 60)
    visit = visit_of(job, [])
    assert visit is not None
    assert [(one.charge.value, one.price) for one in visit.proposed] == [
        ("tracing", 65),
        ("trip", 30),
        ("minimum", Decimal("85.00")),
    ]
    for one in visit.proposed:
        keep(job, one)
    assert asked_for(job) == {}


def test_a_visit_under_way_takes_at_least_what_is_entered(job: Job, two: list[User]) -> None:
    assert job.fault is not None
    at = datetime(2025, 6, 15, 9, tzinfo=UTC)
    assert spending_of(job.fault, at=at).used_man_min == 120
    note(job, two)
    assert spending_of(job.fault, at=at).used_man_min == 360


def test_people_are_corrected_struck_out_and_put_back(job: Job, two: list[User]) -> None:
    one, other = note(job, two)
    finish(job, 180)
    assert job.fault is not None
    later = Times(TODAY, time(9), time(11))
    correct_person(person=one, did="tracing", times=later, why="came later", at=AT)
    assert spending_of(job.fault, at=AT).used_man_min == 300
    remove_person(person=other, why="was elsewhere", today=TODAY)
    assert spending_of(job.fault, at=AT).used_man_min == 120
    put_person_back(person=other)
    assert spending_of(job.fault, at=AT).used_man_min == 300
    remove_person(person=one, why="x", today=TODAY)
    remove_person(person=other, why="x", today=TODAY)
    assert spending_of(job.fault, at=AT).used_man_min == 360  # the crew again


def test_nobody_is_at_two_places_at_once(job: Job, two: list[User]) -> None:
    note(job, two)
    other = make_jobs.started(property=job.property)
    with pytest.raises(UnableToWork, match="from 2025-06-15 08:00 to 11:00 already"):
        note(other, two[:1], Times(TODAY, time(10, 59), time(12)))
    note(other, two[:1], Times(TODAY, time(11), time(12)))
    note(job, [], others="Pip")
    with pytest.raises(UnableToWork, match="Pip is entered"):
        note(job, [], others="pip")
    (person,) = note(job, two[1:], Times(TODAY, time(12), time(13)))
    with pytest.raises(UnableToWork, match="already"):
        correct_person(person=person, did="tracing", times=MORNING, why="x", at=AT)


def test_times_that_cannot_be_are_refused(job: Job, two: list[User]) -> None:
    note(job, two[:1], Times(TODAY - timedelta(1), time(20), time(12)))  # 16 h to the minute
    with pytest.raises(UnableToWork, match="longer than 16 hours"):
        note(job, two[1:], Times(TODAY - timedelta(1), time(20), time(12, 1)))
    note(job, two[1:], Times(TODAY, time(19), time(20, 15)))
    with pytest.raises(UnableToWork, match="has not come yet"):
        note(job, two[:1], Times(TODAY, time(19), time(20, 16)))
    with pytest.raises(UnableToWork, match="Who was there"):
        note(job, [])
    with pytest.raises(UnableToWork, match="What was done"):
        note(job, two[:1], Times(TODAY, time(1), time(2)), did="trip")


def test_a_visit_over_the_change_of_the_clock_has_its_real_minutes(two: list[User]) -> None:
    place = make.place(time_zone="America/New_York")
    job = make_jobs.started(property=place)
    night = Times(date(2025, 3, 8), time(23), time(4))
    assert note(job, two[:1], night)[0].minutes == 240


def test_a_phone_sends_it_once_and_late_and_the_office_sees_the_same(
    job: Job, two: list[User]
) -> None:
    body = {"people": [user.pk for user in two], "did": "tracing", "on": TODAY.isoformat()}
    body |= {"starts": "08:00", "ends": "11:00", "others": ""}

    def send(by: User, **other: object) -> tuple[str, str]:
        item = {"id": str(uuid4()), "kind": "people", "job": job.ref, "at": NOW.isoformat()}
        batch = {"now": AT.isoformat(), "items": [{**item, "body": {**body, **other}}]}
        (row,) = take_in(batch=batch, by=by, now=AT)
        return row.answer, row.why

    assert send(two[0]) == ("accepted", "")
    assert send(two[1]) == ("accepted", "")
    assert job.people.count() == 2
    answer, why = send(two[1], ends="12:00")
    assert answer == "refused"
    assert "already. Correct that" in why
    assert send(two[0], starts="x")[0] == "refused"
    assert send(two[0], people=[make.user().pk])[0] == "refused"
    assert job.fault is not None
    finish(job, 180)
    assert spending_of(job.fault, at=AT).used_man_min == 360


def test_a_withdrawn_visit_takes_nobody(job: Job, two: list[User]) -> None:
    Job.objects.filter(pk=job.pk).update(state=JobState.WITHDRAWN)
    with pytest.raises(UnableToWork, match="withdrawn"):
        note(job, two)
