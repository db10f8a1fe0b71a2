"""A suggested rota uses overtime where it is worth its cost, shows it, and is taken over so."""

from datetime import time, timedelta
from decimal import Decimal
from typing import Any

import pytest

from faults.rota.services.overtime import route_words
from sites.models import User
from tests import make_jobs
from tests.services.rota.test_suggesting import (
    FIRST,
    asked,
    crew,
    made,
    office,
    place,
    stops,
    taken,
)

pytestmark = pytest.mark.django_db
__all__ = ["office"]
# 15 minutes of driving each way (from the coordinates), so 510 of the 540 minutes are left.
OVERTIME: dict[str, Any] = {
    "overtime_minutes": 60,
    "hour_costs": Decimal(40),
    "overtime_hour_costs": Decimal(60),
    "costs_currency": "USD",
}


def of_page(found: dict[str, Any]) -> tuple[int, str, int]:
    over = found["overtime"]
    return over["after"], over["after_costs"], over["weighs"]


def test_used_where_nothing_else_does_and_shown_with_its_cost(office: User) -> None:
    north = crew("North", **OVERTIME)
    job = make_jobs.job(property=place(), expected_minutes=510)
    found = made(office, asked(north, days=(FIRST,)))
    drive = found["after"]["driving"] // 2
    assert of_page(found) == (2 * drive + 510 - 540, *of_page(found)[1:])
    # To the minute: what does not fit with 60 minutes of overtime has no place.
    job.expected_minutes = 600 - 2 * drive
    job.save()
    found = made(office, asked(north, days=(FIRST,)))
    assert of_page(found) == (60, "60.00 USD", 90)
    (route,) = found["routes"]
    words = "60 minutes of overtime: 60.00 USD."
    assert route_words(route, may_see_costs=True) == words
    assert route_words(route, may_see_costs=False) == "60 minutes of overtime."
    assert found["overtime"]["before"] == 0
    result = taken(office, found, job)
    assert ([each.ref for each in result.done], result.refused) == ([job.ref], [])
    # As it stands now, it is the same.
    stands = made(office, asked(north, days=(FIRST,)))["overtime"]
    assert (stands["before"], stands["before_costs"], stands["after"]) == (60, "60.00 USD", 60)
    job.expected_minutes += 1
    job.crew = job.day = job.starts_at = None
    job.save()
    assert stops(made(office, asked(north, days=(FIRST,)))) == {}


def test_none_where_nobody_allowed_it_or_another_day_is_cheaper(office: User) -> None:
    plain = crew("Plain")
    job = make_jobs.job(property=place(), expected_minutes=530)
    found = made(office, asked(plain))
    assert (stops(found), found["overtime"]["is_any"]) == ({}, False)
    job.delete()
    north = crew("North", **OVERTIME)
    there = place()
    for _ in range(2):
        make_jobs.job(property=there, expected_minutes=270)
    # 540 minutes and the drives: another day costs the drives again, and that is less.
    north.overtime_hour_costs = Decimal(400)
    found = made(office, asked(north))
    assert len({stop[1] for stop in stops(found).values()}) == 2
    assert found["overtime"]["is_any"] is False
    north.overtime_hour_costs = Decimal(20)
    found = made(office, asked(north))
    assert len({stop[1] for stop in stops(found).values()}) == 1
    assert found["overtime"]["after"] == found["after"]["driving"]


def test_overtime_that_stands_without_a_price_is_not_nothing(office: User) -> None:
    north = crew("North")
    make_jobs.job(
        crew=north, day=FIRST, starts_at=time(15), expected_minutes=60, property=place(),
        is_locked=True,
    )  # fmt: skip
    other = crew("South", **OVERTIME)
    make_jobs.job(
        crew=other, day=FIRST, starts_at=time(15), expected_minutes=60, property=place(),
        is_locked=True,
    )  # fmt: skip
    found = made(office, asked(other, days=(FIRST, FIRST + timedelta(days=1))))
    drive = found["overtime"]["before"]
    assert drive > 0
    assert found["overtime"]["before_costs"] == f"{drive}.00 USD"
    # Without any allowed the day is left as it is, and named.
    assert made(office, asked(north, days=(FIRST,)))["too_full"] == [f"North, {FIRST}"]
