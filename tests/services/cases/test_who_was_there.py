"""Man-hours count who of a crew was there on the day: the same as the board counts."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from faults.cases.services.man_hours import people_on, spent_man_min, visits_made
from faults.models import Crew, Fault, Job, JobState, PersonAway, WorkDay
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_jobs

pytestmark = pytest.mark.django_db

MONDAY = date(2025, 6, 16)
ONE = timedelta(days=1)


@pytest.fixture
def two() -> list[User]:
    return [make.user(Role.TECHNICIAN), make.user(Role.TECHNICIAN)]


@pytest.fixture
def crew(two: list[User]) -> Crew:
    return make_jobs.crew(*two)


@pytest.fixture
def fault() -> Fault:
    return make.fault()


def visit(fault: Fault, crew: Crew, day: date) -> Job:
    """Make a finished visit of three hours."""
    return make_jobs.job(
        fault=fault, crew=crew, day=day, state=JobState.DONE, actual_minutes=180,
        started_at=datetime(day.year, day.month, day.day, 15, tzinfo=UTC),
        ended_at=datetime(day.year, day.month, day.day, 18, tzinfo=UTC),
    )  # fmt: skip


def spent(fault: Fault) -> list[float]:
    made, members = visits_made([fault.pk])
    return [spent_man_min(job, members) for job in made]


def test_who_is_ill_counts_on_no_day_of_it(fault: Fault, crew: Crew, two: list[User]) -> None:
    days = [MONDAY + ONE * n for n in range(-1, 4)]
    for day in days:
        visit(fault, crew, day)
    assert spent(fault) == [360] * 5
    # Ill on Monday and Tuesday; the last day is not included.
    PersonAway.objects.create(user=two[0], from_on=MONDAY, to_on=MONDAY + 2 * ONE)
    assert spent(fault) == [360, 180, 180, 360, 360]
    # The second one too, on Tuesday: a visit that was made was made by somebody.
    PersonAway.objects.create(user=two[1], from_on=MONDAY + ONE, to_on=MONDAY + 2 * ONE)
    assert spent(fault) == [360, 180, 180, 360, 360]


def test_two_crews_on_one_day_are_counted_each(fault: Fault, crew: Crew, two: list[User]) -> None:
    other = make_jobs.crew(make.user(Role.TECHNICIAN), make.user(Role.TECHNICIAN))
    visit(fault, crew, MONDAY)
    visit(fault, other, MONDAY)
    PersonAway.objects.create(user=two[0], from_on=MONDAY, to_on=MONDAY + ONE)
    assert spent(fault) == [180, 360]


def test_who_has_weekdays_counts_on_them_alone(fault: Fault, crew: Crew, two: list[User]) -> None:
    for n in range(3):
        visit(fault, crew, MONDAY + ONE * n)
    WorkDay.objects.create(user=two[0], weekday=1)
    assert spent(fault) == [180, 360, 180]


def test_a_planned_visit_expects_who_will_be_there(crew: Crew, two: list[User]) -> None:
    job = make_jobs.job(crew=crew, day=MONDAY)
    assert people_on(job, MONDAY) == 2
    PersonAway.objects.create(user=two[0], from_on=MONDAY, to_on=MONDAY + ONE)
    assert people_on(job, MONDAY) == 1


def test_a_member_for_some_days_counts_on_those(fault: Fault, two: list[User]) -> None:
    crew = make_jobs.crew(two[0])
    make_jobs.member(crew=crew, user=two[1], from_on=MONDAY, to_on=MONDAY + 2 * ONE)
    PersonAway.objects.create(user=two[1], from_on=MONDAY, to_on=MONDAY + ONE)
    for n in range(-1, 3):
        visit(fault, crew, MONDAY + ONE * n)
    assert spent(fault) == [180, 180, 360, 180]


def test_it_costs_nothing_where_nobody_was_ever_away(fault: Fault, crew: Crew) -> None:
    visit(fault, crew, MONDAY)
    with CaptureQueriesContext(
        connection,
    ) as asked:
        visits_made([fault.pk])
    assert len(asked) == 1
