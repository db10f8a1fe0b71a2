"""The edges of water by month: first and last days of seasons, months, schedules and facts.

Each station waters every day, so that gallons count days; a lawn of water_cases.py, made up days.
"""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from sites.stopgaps.engines.spells import Interval, in_season
from sites.water.engines.inputs import Off, Station
from sites.water.engines.months import months, next_month, stretches
from tests.engines.water.cases import LAWN, LAWN_CLIMATE, schedule

DAILY = schedule("every 1", 1, 10)
GAL_A_DAY = 180.0
LATER = date(2030, 1, 1)
ONE = timedelta(days=1)
Season = tuple[tuple[int, int], tuple[int, int]]


def station(from_on: date, to_on: date, season: Season | None = None) -> Station:
    """A station that is off over these days and waters 180 gal on each day of its season."""
    off = (Off(Interval(from_on, to_on)),)
    return Station(off=off, schedules=(DAILY,), facts=(LAWN,), season=season)


def days_watered(one: Station, until: date = LATER) -> float:
    """Return on how many days it watered."""
    return (
        sum(each.applied_gal or 0.0 for each in months(one, LAWN_CLIMATE, until=until)) / GAL_A_DAY
    )


@pytest.mark.parametrize("year", [2023, 2024])
@pytest.mark.parametrize(
    "season",
    [
        ((2, 29), (10, 1)),
        ((10, 1), (2, 29)),
        ((2, 28), (10, 1)),
        ((10, 1), (2, 28)),
        ((3, 1), (10, 1)),
        ((1, 1), (2, 29)),
        ((2, 29), (2, 29)),
    ],
)
def test_a_season_turns_on_29_february_itself_and_with_march_in_other_years(
    year: int, season: Season
) -> None:
    first, last = date(year, 1, 15), date(year, 11, 15)
    every_day = [first + n * ONE for n in range((last - first).days)]
    wet = sum(in_season(day, season) for day in every_day)
    assert days_watered(station(first, last, season)) == pytest.approx(wet)


@pytest.mark.parametrize("start", [date(2024, 2, 27) + n * ONE for n in range(4)])
def test_each_single_day_around_29_february_waters_in_its_season_only(start: date) -> None:
    for season in (((2, 29), (10, 1)), ((10, 1), (2, 29))):
        one = station(start, start + ONE, season)
        assert days_watered(one) == pytest.approx(float(in_season(start, season)))


@pytest.mark.parametrize(
    ("first", "last", "days"),
    [
        (date(2025, 4, 13), date(2025, 4, 15), 0),
        (date(2025, 4, 14), date(2025, 4, 16), 1),
        (date(2025, 4, 15), date(2025, 4, 17), 2),
        (date(2025, 9, 29), date(2025, 10, 1), 2),
        (date(2025, 9, 30), date(2025, 10, 2), 1),
        (date(2025, 10, 1), date(2025, 10, 3), 0),
        # Over the new year, and over the turn of two seasons.
        (date(2025, 9, 30), date(2026, 4, 16), 2),
    ],
)
def test_a_station_waters_from_the_first_day_of_the_season_to_the_one_before_its_end(
    first: date, last: date, days: int
) -> None:
    assert days_watered(station(first, last, ((4, 15), (10, 1)))) == pytest.approx(days)


@pytest.mark.parametrize(
    ("day", "first"),
    [
        (date(2025, 1, 31), date(2025, 2, 1)),
        (date(2025, 2, 1), date(2025, 3, 1)),
        (date(2025, 11, 30), date(2025, 12, 1)),
        (date(2025, 12, 1), date(2026, 1, 1)),
        (date(2025, 12, 31), date(2026, 1, 1)),
    ],
)
def test_the_month_after_this_one(day: date, first: date) -> None:
    assert next_month(day) == first


@pytest.mark.parametrize(
    ("last", "days"),
    [
        (date(2025, 8, 31), {8: 3}),
        (date(2025, 9, 1), {8: 4}),
        (date(2025, 9, 2), {8: 4, 9: 1}),
    ],
)
def test_the_last_day_off_is_not_counted(last: date, days: dict[int, int]) -> None:
    found = months(station(date(2025, 8, 28), last), LAWN_CLIMATE, until=LATER)
    assert {each.month.month: each.days for each in found} == days
    asked = months(station(date(2025, 8, 28), LATER), LAWN_CLIMATE, until=last)
    assert {each.month.month: each.days for each in asked} == days


@pytest.mark.parametrize("change_on", [date(2025, 8, day) for day in (1, 2, 15, 30, 31)])
def test_a_schedule_holds_from_its_first_day_to_the_one_before_its_end(change_on: date) -> None:
    first, last = date(2025, 8, 1), date(2025, 9, 1)
    both = (
        schedule("every 1", 1, 10, date(2000, 1, 1), change_on),
        schedule("every 1", 1, 20, change_on),
    )
    before = (change_on - first).days
    one = replace(station(first, last), schedules=both)
    assert days_watered(one) == pytest.approx(before + 2 * (31 - before))


@pytest.mark.parametrize("change_on", [date(2025, 8, day) for day in (1, 2, 31)])
def test_facts_hold_from_their_first_day_to_the_one_before_their_end(change_on: date) -> None:
    first, last = date(2025, 8, 1), date(2025, 9, 1)
    grown = (
        replace(LAWN, days=Interval(date.min, change_on)),
        replace(LAWN, days=Interval(change_on), flow_gpm=36),
    )
    before = (change_on - first).days
    one = replace(station(first, last), facts=grown)
    assert days_watered(one) == pytest.approx(before + 2 * (31 - before))


@pytest.mark.parametrize(
    ("outage", "days"),
    [
        (Interval(date(2025, 8, 1), date(2025, 8, 2)), 30),
        (Interval(date(2025, 8, 31), date(2025, 9, 1)), 30),
        (Interval(date(2025, 7, 1), date(2025, 8, 1)), 31),
        (Interval(date(2025, 9, 1), date(2025, 9, 9)), 31),
        (Interval(date(2025, 8, 31)), 30),
    ],
)
def test_an_outage_waters_from_the_day_on_which_it_is_over(outage: Interval, days: int) -> None:
    one = replace(station(date(2025, 8, 1), date(2025, 9, 1)), outages=(outage,))
    assert days_watered(one) == pytest.approx(days)


def test_two_outages_that_touch_are_both_left_out() -> None:
    two = (
        Interval(date(2025, 8, 3), date(2025, 8, 5)),
        Interval(date(2025, 8, 5), date(2025, 8, 9)),
    )
    one = replace(station(date(2025, 8, 1), date(2025, 9, 1)), outages=two)
    assert days_watered(one) == pytest.approx(31 - 6)


def test_no_stretch_is_empty_or_runs_over_the_end_of_a_month() -> None:
    one = station(date(2024, 2, 27), date(2025, 3, 2), ((2, 29), (10, 1)))
    found = list(stretches(one, LATER))
    assert all(each.days > 0 and each.end <= next_month(each.start) for each in found)
    assert sum(each.days for each in found) == (date(2025, 3, 2) - date(2024, 2, 27)).days
