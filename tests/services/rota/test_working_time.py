"""A suggested rota keeps to working time: weekdays, breaks, and who is ill."""

from datetime import date, time

import pytest

from faults.models import PersonAway, WorkDay
from faults.rota.services.working_time import next_working_days
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_jobs
from tests.services.rota.test_suggesting import FIRST, SECOND, asked, crew, made, place, stops

pytestmark = pytest.mark.django_db


@pytest.fixture
def office() -> User:
    return make.user(Role.DISPATCHER)


def test_working_days_from_tomorrow_on() -> None:
    north, south = crew("North"), crew("South")
    for each in (north, south):
        for weekday in range(5):
            WorkDay.objects.create(crew=each, weekday=weekday)
    friday = date(2026, 11, 27)
    assert next_working_days([north], friday, 2) == [date(2026, 11, 30), date(2026, 12, 1)]
    assert next_working_days([north], date(2026, 11, 29), 1) == [date(2026, 11, 30)]
    assert next_working_days([north], date(2026, 11, 30), 1) == [date(2026, 12, 1)]
    WorkDay.objects.create(crew=south, weekday=5)
    assert next_working_days([north, south], friday, 1) == [date(2026, 11, 28)]
    assert next_working_days([], friday, 1) == []


def test_nobody_is_planned_on_a_day_off_or_into_a_break(office: User) -> None:
    north = crew("North", break_from=time(12), break_to=time(12, 30))
    WorkDay.objects.create(crew=north, weekday=SECOND.weekday())
    jobs = [
        make_jobs.job(property=place(), expected_minutes=minutes) for minutes in (120, 120, 120)
    ]
    found = made(office, asked(north))
    starts = {}
    for job in jobs:
        _name, day, minute, _change = stops(found)[job.ref]
        assert day == SECOND.isoformat()
        starts[minute] = job
    drive = 15
    # The third begins at 11:15, rests from 12:00 to 12:30 and is done at 13:45.
    assert sorted(starts) == [7 * 60 + drive, 9 * 60 + drive, 11 * 60 + drive]
    fourth = make_jobs.job(property=place(), expected_minutes=120)
    found = made(office, asked(north))
    assert sorted(stop[2] for stop in stops(found).values())[-1] == 13 * 60 + 30 + drive
    assert fourth.ref in stops(found)


def test_nobody_is_planned_into_either_of_two_breaks(office: User) -> None:
    north = crew(
        "North", break_from=time(12), break_to=time(12, 30),
        second_break_from=time(9, 10), second_break_to=time(9, 30),
    )  # fmt: skip
    for _n in range(3):
        make_jobs.job(property=place(), expected_minutes=120)
    found = made(office, asked(north, days=(FIRST,)))
    drive = 15
    # The first runs from 7:15 over the first break to 9:35, the second to 11:35, the third from
    # then over lunch to 14:05.
    starts = sorted(stop[2] for stop in stops(found).values())
    assert starts == [7 * 60 + drive, 9 * 60 + 20 + drive, 11 * 60 + 20 + drive]


def test_who_is_ill_takes_the_skill_along(office: User) -> None:
    north = crew("North", break_from=time(12), break_to=time(12, 30))
    ill = north.members.get().user
    make_jobs.member(crew=north, user=make.user(Role.TECHNICIAN), skill=1)
    hard = make_jobs.job(property=place(), skill_needed=3)
    assert hard.ref in stops(made(office, asked(north, days=(FIRST,))))
    PersonAway.objects.create(user=ill, from_on=FIRST, to_on=SECOND)
    assert stops(made(office, asked(north)))[hard.ref][1] == SECOND.isoformat()
    found = made(office, asked(north, days=(FIRST,)))
    assert hard.ref not in stops(found)
    assert "No crew of these days has skill 3" in found["left_out"][0]["why"]


def test_who_begins_in_the_break_is_planned_after_it(office: User) -> None:
    north = crew("North", break_from=time(12), break_to=time(12, 30))
    for weekday in range(7):
        WorkDay.objects.create(
            user=north.members.get().user, weekday=weekday, starts_at=time(12, 10),
            ends_at=time(16),
        )  # fmt: skip
    job = make_jobs.job(property=place(), expected_minutes=60)
    drive = 15
    assert stops(made(office, asked(north, days=(FIRST,))))[job.ref][2] == 12 * 60 + 30 + drive
