"""Each named rule on goals refuses what it names."""

from datetime import timedelta
from typing import Any

import pytest

from reports.models import Goal
from tests import make
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db


def goal(**given: Any) -> Goal:
    usual = {"most_percent": 2, "by_on": make.TODAY + timedelta(days=90), "set_on": make.TODAY}
    return Goal.objects.create(**{**usual, **given})


def test_goal_percent_from_0_to_below_100() -> None:
    goal(property=make.place(), most_percent=0)
    goal(property=make.place(), most_percent=99.9)
    for percent in (-0.1, 100):
        with refused_by("goal_percent_from_0_to_below_100"):
            goal(most_percent=percent)


def test_goal_day_after_it_is_set() -> None:
    goal(by_on=make.TODAY + timedelta(days=1))
    with refused_by("goal_day_after_it_is_set"):
        goal(property=make.place(), by_on=make.TODAY)


def test_goal_taken_back_with_its_reason() -> None:
    goal(taken_back_on=make.TODAY, why_taken_back="too high")
    with refused_by("goal_taken_back_with_its_reason"):
        goal(taken_back_on=make.TODAY)
    with refused_by("goal_taken_back_with_its_reason"):
        goal(why_taken_back="too high")


def test_goal_one_stands_at_a_property() -> None:
    place = make.place()
    goal(property=place)
    goal(property=make.place())
    goal(property=place, taken_back_on=make.TODAY, why_taken_back="too high")
    goal()
    with refused_by("goal_one_stands_at_a_property"):
        goal(property=place)
    with refused_by("goal_one_stands_at_a_property"):
        goal()
