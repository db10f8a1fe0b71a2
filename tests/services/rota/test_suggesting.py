"""A suggested rota: what it reads from the board, what it leaves alone, and taking it over."""

from datetime import date, datetime, time, timedelta
from typing import Any

import pytest
from django.utils import timezone

from faults.models import Crew, CrewAway, Job, JobState
from faults.rota.services import taking_over
from faults.rota.services.gathering import Gathered, gather
from faults.rota.services.suggesting import suggest
from faults.rota.services.taking_over import take_over
from faults.rota.services.working_time import Asked
from faults.work.services import lock_job, move_job
from sites.kernel.engines.roles import Role
from sites.models import AccessHours, Blackout, Property, User
from sites.runs.services import Silent, UnableToFinish
from tests import make, make_jobs

pytestmark = pytest.mark.django_db

TODAY = make.TODAY
FIRST, SECOND = TODAY + timedelta(days=1), TODAY + timedelta(days=2)
YARD = {"yard_latitude": 39.0, "yard_longitude": -95.0}
NOON = timezone.make_aware(datetime.combine(TODAY, time(12)))


@pytest.fixture
def office() -> User:
    return make.user(Role.DISPATCHER)


def crew(name: str, **given: Any) -> Crew:
    return make_jobs.crew(make.user(Role.TECHNICIAN), name=name, **{**YARD, **given})


def place(east: float = 0.0, **given: Any) -> Property:
    return make.place(latitude=39.05, longitude=-95.0 + east, **given)


def asked(*crews: Crew, days: tuple[date, ...] = (FIRST, SECOND), may_move: bool = True) -> Asked:
    return Asked(days, crews, may_move)


def stops(found: dict[str, Any]) -> dict[str, tuple[str, str, int, str]]:
    """Crew, day, minute and change of each job of a suggestion."""
    return {
        stop["job"]: (route["crew_name"], route["day"], stop["minute"], stop["change"])
        for route in found["routes"]
        for stop in route["stops"]
    }


def made(office: User, wanted: Asked, now: datetime = NOON) -> dict[str, Any]:
    return suggest(Silent(), user=office, asked=wanted, now=now)


def problem(office: User, wanted: Asked, now: datetime = NOON) -> Gathered:
    return gather(office, wanted, now=now)


def test_jobs_of_one_place_go_on_one_day_and_the_farther_ones_on_another(office: User) -> None:
    north = crew("North")
    here, there = place(), place(east=0.3)
    near = [make_jobs.job(property=here, expected_minutes=180) for _ in range(2)]
    far = [make_jobs.job(property=there, expected_minutes=180) for _ in range(2)]
    found = made(office, asked(north))
    days = {job.ref: stops(found)[job.ref][1] for job in (*near, *far)}
    assert days[near[0].ref] == days[near[1].ref] != days[far[0].ref] == days[far[1].ref]
    assert found["status"] == "optimal"
    assert found["before"] == {"driving": 0, "jobs": 0}
    assert found["after"]["jobs"] == 4


def test_a_locked_job_and_its_time_stay(office: User) -> None:
    north, south = crew("North"), crew("South")
    kept = make_jobs.job(crew=south, day=SECOND, starts_at=time(13), property=place())
    lock_job(job=kept)
    found = made(office, asked(north, south))
    assert stops(found)[kept.ref] == ("South", SECOND.isoformat(), 13 * 60, "stays")


def test_a_planned_job_keeps_its_time_unless_it_moves(office: User) -> None:
    north = crew("North")
    first = make_jobs.job(crew=north, day=FIRST, starts_at=time(13), property=place())
    untimed = make_jobs.job(crew=north, day=FIRST, property=first.property)
    found = stops(made(office, asked(north)))
    assert found[first.ref] == ("North", FIRST.isoformat(), 13 * 60, "stays")
    assert found[untimed.ref][3] == "time"
    # It cannot be done at its time: the property opens later. It stays on its day.
    AccessHours.objects.create(
        property=first.property, weekday=FIRST.weekday(), opens_at=time(13, 1), closes_at=time(18)
    )
    assert stops(made(office, asked(north)))[first.ref][1:3] == (FIRST.isoformat(), 13 * 60 + 1)


def test_only_the_tray_where_nothing_may_move(office: User) -> None:
    north, south = crew("North"), crew("South", yard_longitude=-94.6)
    badly = make_jobs.job(crew=south, day=FIRST, property=place(), starts_at=time(9))
    waiting = make_jobs.job(property=badly.property)
    free = stops(made(office, asked(north, south)))
    assert free[badly.ref][0] == "North"
    kept = stops(made(office, asked(north, south, may_move=False)))
    assert kept[badly.ref] == ("South", FIRST.isoformat(), 9 * 60, "stays")
    assert kept[waiting.ref][3] == "new"


def test_a_crew_that_is_away_loses_its_jobs_to_the_others(office: User) -> None:
    north, south = crew("North"), crew("South")
    ill = make_jobs.job(crew=south, day=FIRST, property=place(), starts_at=time(9))
    CrewAway.objects.create(crew=south, from_on=FIRST, to_on=SECOND)
    found = stops(made(office, asked(north, south, may_move=False)))
    assert found[ill.ref][:2] in {("North", FIRST.isoformat()), ("South", SECOND.isoformat())}
    assert found[ill.ref][3] == "moved"
    # The days before and after are worked.
    days = {(key.crew, key.day) for key in problem(office, asked(north, south)).problem.shift_at}
    assert days == {(0, 0), (0, 1), (1, 1)}


def test_days_hours_and_skill_are_kept(office: User) -> None:
    north, south = crew("North", skill=1), crew("South", skill=2)
    late = make_jobs.job(property=place(), earliest_on=SECOND)
    soon = make_jobs.job(property=place(), due_on=FIRST, skill_needed=2)
    found = stops(made(office, asked(north, south)))
    assert found[late.ref][1] == SECOND.isoformat()
    assert found[soon.ref][:2] == ("South", FIRST.isoformat())
    Blackout.objects.create(property=soon.property, from_on=FIRST, to_on=SECOND, why="event")
    left = made(office, asked(north, south))["left_out"]
    assert [each["job"] for each in left] == [soon.ref]
    assert "event" in left[0]["why"]


def test_a_dig_without_a_yes_has_no_place_and_says_why(office: User) -> None:
    north = crew("North")
    fault = make.fault(make.station())
    dig = make_jobs.job(kind="dig and mend", fault=fault)
    found = made(office, asked(north))
    assert [each["job"] for each in found["left_out"]] == [dig.ref]
    assert "Nobody has agreed to this dig" in found["left_out"][0]["why"]
    assert found["left_out"][0]["stays"] == ""
    held = make_jobs.job(property=place(), held_for="parts", held_since=TODAY)
    # Planned and held: it has no better place, and stays where it lies.
    Job.objects.filter(pk=held.pk).update(crew=north, day=FIRST)
    left = {each["job"]: each for each in made(office, asked(north))["left_out"]}
    assert left[held.ref]["stays"] == f"North, {FIRST.isoformat()}"


def test_today_begins_now_and_after_what_is_under_way(office: User) -> None:
    north = crew("North")
    days = (TODAY,)
    at_9 = timezone.make_aware(datetime.combine(TODAY, time(9, 3)))
    before = timezone.make_aware(datetime.combine(TODAY, time(6)))
    after = timezone.make_aware(datetime.combine(TODAY, time(16)))

    def starts(now: datetime) -> list[int]:
        return [
            each.starts for each in problem(office, asked(north, days=days), now).problem.shifts
        ]

    assert starts(before) == [7 * 60]
    assert starts(at_9) == [9 * 60 + 5]
    assert starts(after) == []
    # Two visits that this user cannot plan: one under way since 8 for 120 minutes, one at any hour.
    make_jobs.job(
        crew=north,
        day=TODAY,
        state=JobState.STARTED,
        expected_minutes=120,
        started_at=timezone.make_aware(datetime.combine(TODAY, time(8))),
    )
    assert starts(at_9) == [10 * 60]
    with pytest.raises(UnableToFinish, match="None of these crews works on these days"):
        made(office, asked(north, days=days), after)


def test_a_day_whose_fixed_jobs_do_not_fit_is_left_as_it_is(office: User) -> None:
    north, south = crew("North"), crew("South")
    for start in (time(9), time(9, 30)):
        clash = make_jobs.job(crew=north, day=FIRST, starts_at=start, property=place())
        lock_job(job=clash)
    waiting = make_jobs.job(property=place())
    found = made(office, asked(north, south, days=(FIRST,)))
    assert found["too_full"] == [f"North, {FIRST.isoformat()}"]
    assert set(stops(found)) == {waiting.ref}
    # To the minute: an hour from 9 and the next at 10, at one place, fits.
    Job.objects.filter(pk=clash.pk).update(starts_at=time(10))
    Job.objects.update(property=waiting.property)
    assert made(office, asked(north, south, days=(FIRST,)))["too_full"] == []


def test_what_is_assumed_is_named(office: User) -> None:
    north = crew("North")
    unknown = make.place(name="Nowhere Park")
    make_jobs.job(property=unknown)
    found = made(office, asked(north))
    assert found["without_place"] == ["Nowhere Park"]
    assert found["after"]["driving"] == 40


def test_nobody_plans_what_they_may_not(office: User) -> None:
    north = crew("North")
    make_jobs.job(property=place())
    assert problem(make.user(Role.TECHNICIAN), asked(north)).problem.tasks == []


def taken(office: User, found: dict[str, Any], *jobs: Job) -> Any:
    return take_over(
        suggestion=found, chosen={job.ref for job in jobs}, by=office, at=make.NOW, today=TODAY
    )


def test_taken_over_in_part(office: User) -> None:
    north = crew("North")
    one, other = [make_jobs.job(property=place()) for _ in range(2)]
    found = made(office, asked(north))
    result = taken(office, found, one)
    assert ([job.ref for job in result.done], result.refused) == ([one.ref], [])
    one.refresh_from_db()
    other.refresh_from_db()
    name, day, minute, _ = stops(found)[one.ref]
    assert (one.crew, str(one.day), one.starts_at) == (north, day, time(minute // 60, minute % 60))
    assert (name, other.crew) == ("North", None)
    # The second half of it still holds, though the first is done.
    assert [job.ref for job in taken(office, found, other).done] == [other.ref]


def test_of_two_dispatchers_the_second_hears_what_has_changed(office: User) -> None:
    north, south = crew("North"), crew("South")
    one, other = [make_jobs.job(property=place()) for _ in range(2)]
    found = made(office, asked(north, south, days=(FIRST,)))
    assert len(taken(office, found, one).done) == 1
    result = taken(make.user(Role.DISPATCHER), found, one, other)
    assert [job.ref for job in result.done] == [other.ref]
    assert [why for _, why in result.refused] == [
        "It has changed since this was planned. Suggest again, or move it on the board."
    ]


def test_killed_half_way_nothing_is_taken_over(
    office: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What ends the process between two jobs leaves both where they were, and takes the same plan
    over afterwards."""
    north = crew("North")
    jobs = [make_jobs.job(property=place()) for _ in range(2)]
    found = made(office, asked(north))
    really, done = taking_over._do, []

    def one_only(move: Any, **given: Any) -> None:
        if done:
            raise SystemExit("killed")
        done.append(move)
        really(move, **given)

    monkeypatch.setattr(taking_over, "_do", one_only)
    with pytest.raises(SystemExit):
        taken(office, found, *jobs)
    assert len(done) == 1
    assert not Job.objects.exclude(crew=None, day=None, starts_at=None).exists()
    monkeypatch.undo()
    assert len(taken(office, found, *jobs).done) == 2


def test_a_guard_that_refuses_one_lets_the_others_go(office: User) -> None:
    north = crew("North")
    one, other = [make_jobs.job(property=place(), crew=north, day=FIRST) for _ in range(2)]
    found = made(office, asked(north))
    # Moved away by hand and back: the first is no longer as the plan knew it.
    move_job(job=one, crew=north, day=SECOND, by=office, at=make.NOW, today=TODAY)
    result = taken(office, found, one, other)
    assert [job.ref for job in result.done] == [other.ref]
    assert len(result.refused) == 1
    CrewAway.objects.create(crew=north, from_on=FIRST, to_on=SECOND)
    third = make_jobs.job(property=place(), due_on=FIRST)
    south = crew("South")
    late = made(office, asked(south))
    CrewAway.objects.create(crew=south, from_on=FIRST, to_on=SECOND)
    refused = taken(office, late, third).refused
    assert len(refused) == 1
    assert "South is away on that day" in refused[0][1]
