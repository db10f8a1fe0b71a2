"""Promises and waiting in a suggested rota: what binds, what weighs, what is kept and what is not.

The rules are our own choice, no source.
"""

from datetime import date, time, timedelta
from typing import Any

import pytest

from faults.cases.engines.stages import Stage
from faults.models import Fault, Job
from faults.rota.engines.keeping import KEEPING_MIN
from faults.rota.engines.weighing import Waiting, weight
from faults.rota.services.promised import last_days, promised_of, waiting_of
from sites.kernel.engines.roles import Role
from sites.models import Meter, Property, Spell, User
from tests import make, make_jobs
from tests.make_due import promise
from tests.services.rota.test_suggesting import (
    FIRST,
    NOON,
    SECOND,
    TODAY,
    asked,
    crew,
    made,
    place,
    problem,
    stops,
)

pytestmark = pytest.mark.django_db

THIRD = SECOND + timedelta(days=1)


@pytest.fixture
def office() -> User:
    return make.user(Role.DISPATCHER)


def case(where: Property | None = None, **given: Any) -> Fault:
    """A fault that was reported today, at a property with coordinates."""
    clock = make.controller(property=where or place())
    return make.fault(make.station(controller=clock), **{"reported_on": TODAY, **given})


def visit(fault: Fault, **given: Any) -> Job:
    """A visit that fills most of a day: one a day and crew."""
    usual = {"property": fault.property, "fault": fault, "expected_minutes": 400}
    return make_jobs.job(**{**usual, **given})


@pytest.mark.parametrize("promised_on", [FIRST, SECOND])
def test_who_was_promised_sooner_goes_first(office: User, promised_on: date) -> None:
    north = crew("North")
    other = visit(case(reported_on=TODAY - timedelta(days=300)))
    told = visit(case(promised_on=promised_on))
    found = made(office, asked(north))
    assert stops(found).keys() == {told.ref, other.ref}
    assert stops(found)[told.ref][1] <= promised_on.isoformat()
    assert found["promises"] == {"of": 1, "before": 0, "after": 1, "moved": 0, "broken": []}


def test_a_promise_before_these_days_comes_late_and_is_named(office: User) -> None:
    north = crew("North")
    told = visit(case(promised_on=TODAY))
    found = made(office, asked(north))
    assert told.ref in stops(found)
    (broken,) = found["promises"].pop("broken")
    assert found["promises"] == {"of": 1, "before": 0, "after": 0, "moved": 0}
    assert broken["words"] == f"visit promised by {TODAY.isoformat()}"
    assert (broken["job"], broken["was_kept"]) == (told.ref, False)
    assert broken["now"].startswith(stops(found)[told.ref][1])


def test_of_two_promises_one_day_has_room_for_one(office: User) -> None:
    north = crew("North")
    first, second = (visit(case(promised_on=FIRST), priority=each) for each in (3, 1))
    found = made(office, asked(north))
    assert stops(found)[first.ref][1] == FIRST.isoformat()
    assert stops(found)[second.ref][1] == SECOND.isoformat()
    assert [each["job"] for each in found["promises"]["broken"]] == [second.ref]
    assert (found["promises"]["of"], found["promises"]["after"]) == (2, 1)


def test_a_planned_visit_moves_up_to_keep_its_promise(office: User) -> None:
    north = crew("North")
    late = visit(case(promised_on=FIRST), crew=north, day=SECOND)
    kept = visit(case(promised_on=SECOND), crew=north, day=FIRST)
    found = made(office, asked(north))
    assert stops(found)[late.ref][1] == FIRST.isoformat()
    assert stops(found)[kept.ref][1] == SECOND.isoformat()
    assert found["promises"] == {"of": 2, "before": 1, "after": 2, "moved": 2, "broken": []}


def test_a_promise_that_is_lost_says_that_it_was_kept(office: User) -> None:
    north = crew("North")
    kept = visit(
        case(promised_on=FIRST), crew=north, day=FIRST, priority=1, priority_overrules=True
    )
    urgent = visit(case(promised_on=FIRST), priority=4)
    found = made(office, asked(north))
    assert stops(found)[urgent.ref][1] == FIRST.isoformat()
    (broken,) = found["promises"]["broken"]
    assert (broken["job"], broken["was_kept"]) == (kept.ref, True)


def test_promised_times_are_kept_or_named(office: User) -> None:
    north = crew("North")
    told = case(promised_on=FIRST, promised_from=time(13), promised_until=time(14))
    one = visit(told, expected_minutes=60)
    found = made(office, asked(north))
    name, day, minute, _change = stops(found)[one.ref]
    assert (name, day) == ("North", FIRST.isoformat())
    assert 13 * 60 <= minute <= 14 * 60
    assert (found["promises"]["of"], found["promises"]["after"]) == (1, 1)
    assert found["routes"][0]["stops"][0]["promised"] == f"promised for {FIRST}, 13:00–14:00"
    only_second = made(office, asked(north, days=(SECOND,)))
    (broken,) = only_second["promises"]["broken"]
    assert broken["now"] == "no place in these days"


def test_a_day_by_which_it_is_over_binds_every_visit_of_the_fault() -> None:
    told = case()
    promise(told, by_on=SECOND)
    rows = [visit(told), visit(told, kind="return to central"), visit(case())]
    found = promised_of(rows, today=TODAY)
    assert {key: one.by_on for key, one in found.items()} == {
        rows[0].pk: SECOND,
        rows[1].pk: SECOND,
    }
    assert found[rows[0].pk].words == f"promised to be over by {SECOND.isoformat()}"
    # The newest promise is the one that stands; of it and a promised visit the earlier binds.
    promise(told, by_on=THIRD)
    assert promised_of(rows, today=TODAY)[rows[0].pk].by_on == THIRD
    told.promised_on = FIRST
    told.save()
    again = [Job.objects.get(pk=row.pk) for row in rows]
    found = promised_of(again, today=TODAY)
    assert (found[rows[0].pk].by_on, found[rows[1].pk].by_on) == (FIRST, THIRD)


@pytest.mark.parametrize(("promised_on", "binds"), [(TODAY, True), (TODAY - timedelta(1), False)])
def test_a_promised_day_that_is_over_binds_nothing(promised_on: date, binds: bool) -> None:
    told = visit(case(promised_on=promised_on, reported_on=TODAY - timedelta(days=9)))
    assert bool(promised_of([told], today=TODAY)) is binds


def test_once_somebody_came_or_it_is_found_the_next_visit_is_free() -> None:
    came = case(promised_on=SECOND)
    make_jobs.job(property=came.property, fault=came, state="started", started_at=make.NOW)
    found = case(promised_on=SECOND, stage=Stage.FOUND.value)
    assert promised_of([visit(came), visit(found)], today=TODAY) == {}


def test_the_last_day_that_keeps_a_promise() -> None:
    told = {day: visit(case(promised_on=day)) for day in (TODAY, FIRST, SECOND, THIRD)}
    promised = promised_of(list(told.values()), today=TODAY)
    days = (FIRST, THIRD)
    # What is promised after the last of these days is not in question.
    wanted = {told[TODAY].pk: -1, told[FIRST].pk: 0, told[SECOND].pk: 0, told[THIRD].pk: 1}
    assert last_days(promised, days) == wanted
    assert last_days(promised, (FIRST, SECOND)).keys() == wanted.keys() - {told[THIRD].pk}


def test_what_waiting_costs_is_read_from_reports_and_meters() -> None:
    old = case(reported_on=TODAY - timedelta(days=30))
    spell = Spell.objects.create(
        station=old.stations.get().station, from_on=TODAY - timedelta(days=10)
    )
    meter = Meter.objects.create(
        spell=spell, counted_until=TODAY, months=1, months_known=1, months_priced=0, excess_gal=500
    )
    one, none = visit(old), make_jobs.job(property=place())
    found = waiting_of([one, none], today=TODAY)
    assert found == {one.pk: Waiting(30, 50.0), none.pk: Waiting(0, None)}
    # A job of its own station, which has no meter: not known, though the fault has another one.
    other = make.station(controller=old.stations.get().station.controller)
    one.stations.add(other)
    assert waiting_of([one], today=TODAY)[one.pk] == Waiting(30, None)
    # What waters less than its need wastes nothing; a meter to be counted again says nothing.
    one.stations.clear()
    Meter.objects.filter(pk=meter.pk).update(excess_gal=-20)
    assert waiting_of([one], today=TODAY)[one.pk].gallons_a_day == 0.0
    Meter.objects.filter(pk=meter.pk).update(counted_until=None)
    assert waiting_of([one], today=TODAY)[one.pk].gallons_a_day is None


def test_the_longer_it_waits_the_more_it_weighs_below_the_next_priority(office: User) -> None:
    north = crew("North")
    where = place()
    new, old = (visit(case(where, reported_on=TODAY - timedelta(days=each))) for each in (0, 200))
    found = made(office, asked(north, days=(FIRST,)))
    assert stops(found).keys() == {old.ref}
    (left,) = found["left_out"]
    assert left["weighs"] == ("Leaving it out weighs 500 minutes: priority 2, reported 0 days ago.")
    # A person may overrule it.
    Job.objects.filter(pk=new.pk).update(priority=4, priority_overrules=True)
    assert stops(made(office, asked(north, days=(FIRST,)))).keys() == {new.ref}


def test_a_promise_weighs_beside_what_waiting_weighs(office: User) -> None:
    north = crew("North")
    told = visit(
        case(promised_on=SECOND, reported_on=TODAY - timedelta(days=30)), priority_overrules=True
    )
    gathered = problem(office, asked(north), NOON)
    assert gathered.problem.by_key[told.pk].penalty == weight(500, Waiting(30)) == 750
    make_jobs.job(property=place(), expected_minutes=400, priority=4)
    found = made(office, asked(north, days=(SECOND,)))
    (left,) = found["left_out"]
    assert left["weighs"].startswith(f"Leaving it out weighs {750 + KEEPING_MIN} minutes: ")
    assert left["weighs"].endswith(f"visit promised by {SECOND.isoformat()}.")
