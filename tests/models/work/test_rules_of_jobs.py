"""Each named rule on crews and jobs refuses what it names."""

from datetime import date, time
from decimal import Decimal

import pytest

from faults.models import CrewAway, KindOfJob, LimitOverride, PersonAway, SafetyAnswer, WorkDay
from tests import make, make_jobs
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db

DAY = date(2025, 6, 20)


def test_crew_ends_after_it_starts() -> None:
    with refused_by("crew_ends_after_it_starts"):
        make_jobs.crew(starts_at=time(9), ends_at=time(9))


def test_crew_yard_has_both_coordinates() -> None:
    with refused_by("crew_yard_has_both_coordinates"):
        make_jobs.crew(yard_latitude=40.0)
    with refused_by("crew_yard_has_both_coordinates"):
        make_jobs.crew(yard_latitude=140.0, yard_longitude=10.0)


def test_crew_member_skill_of_the_scale() -> None:
    with refused_by("crew_member_skill_of_the_scale"):
        make_jobs.member(crew=make_jobs.crew(), user=make.user(), skill=4)


def test_crew_member_ends_after_joining() -> None:
    with refused_by("crew_member_ends_after_joining"):
        make_jobs.member(crew=make_jobs.crew(), user=make.user(), to_on=date(2024, 1, 1))


def test_crew_member_in_one_crew_at_a_time() -> None:
    user = make.user()
    make_jobs.crew(user)
    with refused_by("crew_member_in_one_crew_at_a_time"):
        make_jobs.crew(user)


def test_crew_away_ends_after_it_starts() -> None:
    with refused_by("crew_away_ends_after_it_starts"):
        CrewAway.objects.create(crew=make_jobs.crew(), from_on=DAY, to_on=date(2025, 6, 19))


def test_crew_break_has_both_ends_or_none() -> None:
    with refused_by("crew_break_has_both_ends_or_none"):
        make_jobs.crew(break_from=time(12))
    with refused_by("crew_break_has_both_ends_or_none"):
        make_jobs.crew(break_from=time(12), break_to=time(12))


def test_crew_second_break_has_both_ends_or_none() -> None:
    make_jobs.crew(second_break_from=time(9), second_break_to=time(9, 1))
    for given in (
        {"second_break_from": time(9)},
        {"second_break_to": time(9)},
        {"second_break_from": time(9), "second_break_to": time(9)},
    ):
        with refused_by("crew_second_break_has_both_ends_or_none"):
            make_jobs.crew(**given)


def test_crew_overtime_with_what_it_costs_or_none() -> None:
    whole = {
        "overtime_minutes": 60,
        "hour_costs": Decimal(40),
        "overtime_hour_costs": Decimal(0),
        "costs_currency": "USD",
    }
    make_jobs.crew(**whole)
    missing: dict[str, object] = dict.fromkeys(whole) | {"costs_currency": ""}
    wrong: list[dict[str, object]] = [
        *({**whole, name: missing[name]} for name in whole),
        *({**missing, name: value} for name, value in whole.items()),
        {**whole, "overtime_minutes": 0},
        {**whole, "hour_costs": Decimal(0)},
        {**whole, "overtime_hour_costs": Decimal("-0.01")},
    ]
    for given in wrong:
        with refused_by("crew_overtime_with_what_it_costs_or_none"):
            make_jobs.crew(**given)


def test_work_day_break_has_both_ends_or_none() -> None:
    crew = make_jobs.crew()
    for given in ({"break_from": time(12)}, {"break_to": time(12)}):
        with refused_by("work_day_break_has_both_ends_or_none"):
            WorkDay.objects.create(crew=crew, weekday=0, **given)
    with refused_by("work_day_break_has_both_ends_or_none"):
        WorkDay.objects.create(crew=crew, weekday=0, break_from=time(12), break_to=time(12))


def test_work_day_of_a_crew_or_a_person() -> None:
    with refused_by("work_day_of_a_crew_or_a_person"):
        WorkDay.objects.create(weekday=0)
    with refused_by("work_day_of_a_crew_or_a_person"):
        WorkDay.objects.create(weekday=0, crew=make_jobs.crew(), user=make.user())


def test_work_day_is_a_weekday() -> None:
    with refused_by("work_day_is_a_weekday"):
        WorkDay.objects.create(weekday=7, crew=make_jobs.crew())


def test_work_day_has_both_hours_or_none() -> None:
    with refused_by("work_day_has_both_hours_or_none"):
        WorkDay.objects.create(weekday=0, crew=make_jobs.crew(), starts_at=time(7))
    with refused_by("work_day_has_both_hours_or_none"):
        WorkDay.objects.create(weekday=0, crew=make_jobs.crew(), starts_at=time(7), ends_at=time(7))


def test_work_day_once_per_crew() -> None:
    crew = make_jobs.crew()
    WorkDay.objects.create(weekday=0, crew=crew)
    with refused_by("work_day_once_per_crew"):
        WorkDay.objects.create(weekday=0, crew=crew)


def test_work_day_once_per_person() -> None:
    user = make.user()
    WorkDay.objects.create(weekday=0, user=user)
    with refused_by("work_day_once_per_person"):
        WorkDay.objects.create(weekday=0, user=user)


def test_person_away_ends_after_it_starts() -> None:
    with refused_by("person_away_ends_after_it_starts"):
        PersonAway.objects.create(user=make.user(), from_on=DAY, to_on=date(2025, 6, 19))


def test_job_expects_some_minutes() -> None:
    with refused_by("job_expects_some_minutes"):
        make_jobs.job(expected_minutes=0)


def test_job_needs_somebody() -> None:
    with refused_by("job_needs_somebody"):
        make_jobs.job(people_needed=0)


@pytest.mark.parametrize(("minutes", "people"), [(0, 1), (1, 0)])
def test_kind_of_job_takes_time_and_people(minutes: int, people: int) -> None:
    with refused_by("kind_of_job_takes_time_and_people"):
        KindOfJob.objects.create(
            kind="coil", minutes=minutes, people=people, skill=1, opens_ground=False
        )


def test_kind_of_job_skill_of_the_scale() -> None:
    with refused_by("kind_of_job_skill_of_the_scale"):
        KindOfJob.objects.create(kind="coil", minutes=1, skill=4, opens_ground=False)


def test_job_skill_of_the_scale() -> None:
    with refused_by("job_skill_of_the_scale"):
        make_jobs.job(skill_needed=0)


def test_job_priority_of_the_scale() -> None:
    with refused_by("job_priority_of_the_scale"):
        make_jobs.job(priority=5)


def test_job_locked_only_when_assigned() -> None:
    with refused_by("job_locked_only_when_assigned"):
        make_jobs.job(is_locked=True, day=DAY)


def test_job_start_only_on_a_day() -> None:
    with refused_by("job_start_only_on_a_day"):
        make_jobs.job(starts_at=time(8))


def test_job_due_after_earliest() -> None:
    with refused_by("job_due_after_earliest"):
        make_jobs.job(earliest_on=DAY, due_on=date(2025, 6, 19))


def test_job_depth_above_0() -> None:
    with refused_by("job_depth_above_0"):
        make_jobs.job(planned_depth_in=0)


def test_job_held_for_something_since_a_day() -> None:
    with refused_by("job_held_for_something_since_a_day"):
        make_jobs.job(held_for="parts")
    with refused_by("job_held_for_something_since_a_day"):
        make_jobs.job(held_since=DAY)


def test_job_line_quantity_above_0() -> None:
    with refused_by("job_line_quantity_above_0"):
        make_jobs.line(quantity=Decimal(0))


def test_job_line_price_not_negative() -> None:
    with refused_by("job_line_price_not_negative"):
        make_jobs.line(unit_price=Decimal("-0.01"))


def test_safety_prompt_answered_once_per_job() -> None:
    row = {"job": make_jobs.job(), "prompt": "air tested", "answer": "yes", "at": make.NOW}
    SafetyAnswer.objects.create(**row)
    with refused_by("safety_prompt_answered_once_per_job"):
        SafetyAnswer.objects.create(**row)


def test_safety_answer_says_something() -> None:
    row = {"job": make_jobs.job(), "prompt": "air tested", "answer": "", "at": make.NOW}
    with refused_by("safety_answer_says_something"):
        SafetyAnswer.objects.create(**row)


def test_limit_override_gives_a_reason() -> None:
    with refused_by("limit_override_gives_a_reason"):
        LimitOverride.objects.create(job=make_jobs.job(), reason="", at=make.NOW)
