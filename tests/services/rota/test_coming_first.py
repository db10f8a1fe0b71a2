"""A suggested rota never mends before the locate, says so, and is taken over only so.

Common practice, no source; that another crew comes a day later at the earliest is our own choice.
"""

from datetime import date, time, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from faults.models import Fault, Job, JobState
from faults.rota.services.coming_first import coming_first
from faults.work.services import lock_job
from sites.models import User
from tests import make, make_jobs
from tests.services.rota.test_suggesting import (
    FIRST,
    SECOND,
    asked,
    crew,
    made,
    office,
    place,
    stops,
    taken,
)

pytestmark = pytest.mark.django_db
THIRD = SECOND + timedelta(days=1)
__all__ = ["office"]


@pytest.fixture
def fault() -> Fault:
    station = make.station()
    type(station.controller.property).objects.filter(pk=station.controller.property_id).update(
        latitude=39.05, longitude=-95.0
    )
    make.authority(property=station.controller.property, up_to_hours=20)
    return make.fault(station)


def locate(fault: Fault, **given: object) -> Job:
    return make_jobs.job(fault=fault, kind="locate", **given)


def coil(fault: Fault, **given: object) -> Job:
    return make_jobs.job(fault=fault, kind="coil", **given)


def after(found: dict, job: Job) -> str:  # type: ignore[type-arg]
    return next(
        str(stop["after"])
        for route in found["routes"]
        for stop in route["stops"]
        if stop["job"] == job.ref
    )


def test_the_locate_comes_first_and_it_says_why(office: User, fault: Fault) -> None:
    north = crew("North")
    second, first = coil(fault), locate(fault)
    found = made(office, asked(north))
    where = stops(found)
    assert where[first.ref][1] == where[second.ref][1]
    assert where[first.ref][2] + 60 <= where[second.ref][2]
    _, day, minute, _ = where[first.ref]
    at = f"{day} {minute // 60:02}:{minute % 60:02}"
    assert after(found, second) == f"comes after {first}, {fault}, {at}"
    assert after(found, first) == ""
    # Too long for one day: on a later one, whichever crew.
    Job.objects.update(expected_minutes=300)
    apart = stops(made(office, asked(north, crew("South"))))
    assert apart[first.ref][1] < apart[second.ref][1]


def test_left_out_with_its_locate(office: User, fault: Fault) -> None:
    north = crew("North", skill=2)
    first, second = locate(fault, skill_needed=3), coil(fault)
    left = {each["job"]: each["why"] for each in made(office, asked(north))["left_out"]}
    assert left[first.ref] == "No crew of these days has skill 3."
    assert left[second.ref] == f"It comes after {first}, {fault}, which has no place itself."


def test_a_locate_on_a_day_that_is_not_planned_here(office: User, fault: Fault) -> None:
    north, south = crew("North"), crew("South")
    first, second = locate(fault, crew=south, day=FIRST), coil(fault)
    found = made(office, asked(north))
    assert stops(found)[second.ref][1] == SECOND.isoformat()
    assert after(found, second) == f"comes after {first}, {fault}, {FIRST}"
    # On the last day that is planned, or later: there is no day left.
    for day in (SECOND, THIRD):
        Job.objects.filter(pk=first.pk).update(day=day)
        (left,) = made(office, asked(north))["left_out"]
        assert left["why"] == f"It comes after {first}, which is on {day}."


def test_a_fixed_locate_and_a_fixed_repair(office: User, fault: Fault) -> None:
    north, south = crew("North"), crew("South")
    first = locate(fault, crew=north, day=FIRST, starts_at=time(9))
    second = coil(fault)
    lock_job(job=first)
    where = stops(made(office, asked(north, south)))
    assert where[second.ref][0:2] == ("North", FIRST.isoformat())
    assert where[second.ref][2] >= 10 * 60
    Job.objects.filter(pk=second.pk).update(crew=south, day=FIRST, starts_at=time(8))
    second.refresh_from_db()
    lock_job(job=second)
    # Two that people fixed against it stay.
    kept = stops(made(office, asked(north, south)))
    assert (kept[first.ref][3], kept[second.ref][3]) == ("stays", "stays")
    Job.objects.filter(pk=first.pk).update(crew=None, day=None, starts_at=None, is_locked=False)
    (left,) = made(office, asked(north, south))["left_out"]
    assert left["job"] == first.ref
    assert left["why"] == (
        f"It comes before {second}, {fault}, which is fixed on South, {FIRST}: there is no room "
        "so soon."
    )


def test_a_day_left_as_it_is_holds_back_what_waits_for_its_locate(
    office: User, fault: Fault
) -> None:
    north = crew("North")
    first = locate(fault, crew=north, day=FIRST, starts_at=time(9))
    clash = make_jobs.job(crew=north, day=FIRST, starts_at=time(9, 30), property=place())
    second = coil(fault)
    for job in (first, clash):
        lock_job(job=job)
    found = made(office, asked(north, crew("South")))
    assert found["too_full"] == [f"North, {FIRST}"]
    assert stops(found)[second.ref][1] == SECOND.isoformat()


def test_fixed_without_times_in_their_order(office: User, fault: Fault) -> None:
    north = crew("North")
    second, first = [kind(fault, crew=north, day=FIRST, is_locked=True) for kind in (coil, locate)]
    found = made(office, asked(north))
    assert found["too_full"] == []
    assert stops(found)[first.ref][2] < stops(found)[second.ref][2]


def test_taken_over_in_part_only_in_order(office: User, fault: Fault) -> None:
    north = crew("North")
    first, second = locate(fault), coil(fault)
    found = made(office, asked(north))
    result = taken(office, found, second)
    assert result.done == []
    assert result.refused[0][1] == f"Its locate ({first}) has no day yet. Plan that first."
    second.refresh_from_db()
    assert second.day is None
    # Both at once, and the locate alone, are no trouble.
    assert [job.ref for job in taken(office, found, second, first).done] == [first.ref, second.ref]


def test_a_locate_is_not_moved_behind_what_stays(office: User, fault: Fault) -> None:
    north = crew("North")
    first = locate(fault, crew=north, day=FIRST)
    second = coil(fault, crew=north, day=SECOND)
    shut = place()
    make_jobs.job(property=shut)
    found = made(office, asked(north))
    later: date = SECOND + timedelta(days=1)
    for route in found["routes"]:
        for stop in route["stops"]:
            if stop["job"] == first.ref:
                stop["change"], route["day"] = "moved", later.isoformat()
    result = taken(office, found, first)
    assert result.done == []
    assert result.refused[0][1] == (
        f"{second} waits for it and would come too soon. Take both over, or neither."
    )
    assert Job.objects.get(pk=first.pk).day == FIRST
    # What is under way is nobody's to move any more.
    Job.objects.filter(pk=second.pk).update(state=JobState.STARTED)
    assert len(taken(office, found, first).done) == 1


def test_as_many_queries_for_many_as_for_one(office: User) -> None:
    def queries(faults: int) -> int:
        for _ in range(faults):
            fault = make.fault(make.station())
            locate(fault)
            coil(fault)
        rows = list(Job.objects.select_related("fault").order_by("pk"))
        with CaptureQueriesContext(connection) as seen:
            assert len(coming_first(rows).inside) == len(rows) / 2
        return len(seen)

    assert queries(1) == queries(3)
