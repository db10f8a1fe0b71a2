"""Excess and shortfall by month: the two worked spells, and what each input does.

The numbers of the worked spells are our own, computed by hand and with fractions (no source
outside); see water_cases.py for the climate tables.
"""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from sites.stopgaps.engines.spells import Interval
from sites.water.engines import rain
from sites.water.engines.constants import GAL_PER_UNIT, M3_PER_GAL
from sites.water.engines.inputs import Facts, Lacks, Note, Off, StandsIn, Station
from sites.water.engines.months import Month, months
from tests.engines.water.cases import (
    ALWAYS,
    LAWN,
    LAWN_CLIMATE,
    LAWN_SPELL,
    LAWN_STATION,
    SHRUB_CLIMATE,
    SHRUB_STATION,
    VACAVILLE,
    Days,
    NoClimate,
    Table,
    schedule,
)

LATER = date(2027, 1, 1)

LAWN_MONTHS = {
    7: (14, 6048, 5909.77, 138.23),
    8: (31, 12852, 11490.08, 1361.92),
    9: (30, 13608, 8777.14, 4830.86),
    10: (31, 12852, 5665.25, 7186.75),
    11: (10, 4536, 19.95, 4516.05),
}
SHRUB_MONTHS = {
    4: (25, 1980, 1327.56, 652.44, 0),
    5: (31, 2772, 2433.86, 338.14, 0),
    6: (30, 2520, 2920.63, 0, 400.63),
}


def total(found: list[Month], name: str) -> float:
    """Return the sum of one figure; none of them may be unknown."""
    values = [getattr(month, name) for month in found]
    assert None not in values
    return sum(values)


def only(station: Station, until: date = LATER) -> Month:
    """Return the one month of a lawn's station."""
    (found,) = months(station, LAWN_CLIMATE, until=until)
    return found


@pytest.mark.parametrize(("month", "expected"), LAWN_MONTHS.items())
def test_a_lawn_set_for_july_and_left_until_november(
    month: int, expected: tuple[float, ...]
) -> None:
    found = {each.month.month: each for each in months(LAWN_STATION, LAWN_CLIMATE, until=LATER)}
    one = found[month]
    assert (one.days, one.applied_gal, one.shortfall_gal) == (expected[0], expected[1], 0)
    assert one.needed_gal == pytest.approx(expected[2], abs=0.01)
    assert one.excess_gal == pytest.approx(expected[3], abs=0.01)


def test_the_lawn_wasted_eighteen_thousand_gallons() -> None:
    found = months(LAWN_STATION, LAWN_CLIMATE, until=LATER)
    assert sum(month.days for month in found) == 116
    assert total(found, "applied_gal") == 49_896
    assert total(found, "needed_gal") == pytest.approx(31_862.19, abs=0.01)
    excess = total(found, "excess_gal")
    assert excess == pytest.approx(18_033.81, abs=0.01)
    assert excess / GAL_PER_UNIT["HCF"] == pytest.approx(24.1077, abs=1e-4)
    assert excess / GAL_PER_UNIT["kgal"] == pytest.approx(18.0338, abs=1e-4)
    assert excess * M3_PER_GAL == pytest.approx(68.2654, abs=1e-4)
    last = next(month for month in found if month.month.month == 11)
    octo = next(month for month in found if month.month.month == 10)
    assert (last.excess_gal + octo.excess_gal) / excess == pytest.approx(0.65, abs=0.005)
    assert excess / total(found, "applied_gal") == pytest.approx(0.36, abs=0.005)


@pytest.mark.parametrize(("month", "expected"), SHRUB_MONTHS.items())
def test_shrubs_with_a_changed_schedule_and_a_dead_battery(
    month: int, expected: tuple[float, ...]
) -> None:
    found = {each.month.month: each for each in months(SHRUB_STATION, SHRUB_CLIMATE, until=LATER)}
    one = found[month]
    assert (one.days, one.applied_gal) == expected[:2]
    assert one.needed_gal == pytest.approx(expected[2], abs=0.01)
    assert one.excess_gal == pytest.approx(expected[3], abs=0.01)
    assert one.shortfall_gal == pytest.approx(expected[4], abs=0.01)


def test_spring_excess_and_summer_shortfall_are_not_netted() -> None:
    found = months(SHRUB_STATION, SHRUB_CLIMATE, until=LATER)
    assert total(found, "excess_gal") == pytest.approx(990.58, abs=0.01)
    assert total(found, "shortfall_gal") == pytest.approx(400.63, abs=0.01)
    assert total(found, "applied_gal") == 7272
    assert total(found, "needed_gal") == pytest.approx(6682.06, abs=0.01)


def test_the_need_is_pooled_over_the_month_and_never_by_the_day() -> None:
    """By the day, each watering carries several days' need: 31,833 gallons instead of 18,034."""
    one_by_one = 0.0
    for n in range((LAWN_SPELL.to_on - LAWN_SPELL.from_on).days if LAWN_SPELL.to_on else 0):
        day = LAWN_SPELL.from_on + timedelta(days=n)
        off = Off(Interval(day, day + timedelta(days=1)))
        single = replace(LAWN_STATION, off=(off,))
        one_by_one += total(months(single, LAWN_CLIMATE, until=LATER), "excess_gal")
    assert one_by_one == pytest.approx(31_833, abs=1)


def test_still_off_is_counted_up_to_the_day_that_is_asked_for() -> None:
    still = replace(LAWN_STATION, off=(Off(Interval(LAWN_SPELL.from_on)),))
    assert months(still, LAWN_CLIMATE, until=date(2025, 11, 11)) == months(
        LAWN_STATION, LAWN_CLIMATE, until=LATER
    )


@pytest.mark.parametrize("until", [LAWN_SPELL.from_on, date(2025, 1, 1)])
def test_no_day_off_is_no_month(until: date) -> None:
    assert months(LAWN_STATION, LAWN_CLIMATE, until=until) == []


def test_fitted_and_removed_on_one_day_is_nothing() -> None:
    day = date(2025, 8, 1)
    assert (
        months(replace(LAWN_STATION, off=(Off(Interval(day, day)),)), NoClimate(), until=LATER)
        == []
    )


AUGUST = (Off(Interval(date(2025, 8, 1), date(2025, 9, 1))),)
LAWN_AUGUST = replace(LAWN_STATION, off=AUGUST)


@pytest.mark.parametrize(
    ("missing", "lack", "known"),
    [
        ({"flow_gpm": None}, Lacks.FLOW, "needed_gal"),
        ({"area_sqft": None}, Lacks.AREA, "applied_gal"),
        ({"plant_factor": None}, Lacks.PLANT_FACTOR, "applied_gal"),
        ({"efficiency": None}, Lacks.EFFICIENCY, "applied_gal"),
    ],
)
def test_what_is_missing_is_named_and_never_counts_as_0(
    missing: dict[str, None], lack: Lacks, known: str
) -> None:
    one = only(replace(LAWN_AUGUST, facts=(replace(LAWN, **missing),)))
    assert one.lacks == {lack}
    assert (one.excess_gal, one.shortfall_gal) == (None, None)
    assert getattr(one, known) is not None


def test_a_station_of_which_nothing_is_known_lacks_all_that_it_needs() -> None:
    (one,) = months(Station(off=AUGUST), NoClimate(), until=LATER)
    assert one.lacks == {Lacks.SCHEDULE, Lacks.CLIMATE}
    (other,) = months(Station(off=AUGUST), LAWN_CLIMATE, until=LATER)
    assert other.lacks == {Lacks.SCHEDULE, Lacks.AREA, Lacks.PLANT_FACTOR, Lacks.EFFICIENCY}
    assert (other.applied_gal, other.needed_gal) == (None, None)


def test_a_schedule_without_days_is_not_known() -> None:
    unsaid = schedule("whenever it is dry", 1, 10)
    assert only(replace(LAWN_AUGUST, schedules=(unsaid,))).lacks == {Lacks.DAYS}


def test_a_flow_follows_from_rate_and_area_and_says_so() -> None:
    derived = Facts(ALWAYS, 2400, None, 0.721875, 0.8, 0.75)
    one = only(replace(LAWN_AUGUST, facts=(derived,)))
    assert one.applied_gal == pytest.approx(12_852)
    assert one.notes == {Note.DERIVED_FLOW}


def test_a_station_that_is_shut_off_gets_nothing_and_still_needs_water() -> None:
    shut = (replace(AUGUST[0], stands_in=StandsIn.SHUT),)
    one = only(replace(LAWN_AUGUST, off=shut, facts=(replace(LAWN, flow_gpm=None),)))
    assert (one.applied_gal, one.excess_gal) == (0, 0)
    assert one.shortfall_gal == pytest.approx(11_490.08, abs=0.01)


def test_a_broken_wire_keeps_the_clocks_own_schedule_from_the_valve() -> None:
    by_clock = replace(LAWN_STATION.schedules[0], is_by_clock=True)
    assert only(replace(LAWN_AUGUST, schedules=(by_clock,))).lacks == {Lacks.SCHEDULE}
    lost = (replace(AUGUST[0], stands_in=StandsIn.CLOCK),)
    assert only(replace(LAWN_AUGUST, schedules=(by_clock,), off=lost)).applied_gal == 12_852


def test_two_schedules_at_once_add_up() -> None:
    both = (*LAWN_STATION.schedules, schedule("every 1", 1, 1))
    assert only(replace(LAWN_AUGUST, schedules=both)).applied_gal == 12_852 + 31 * 18


def test_a_schedule_that_was_ended_while_off_waters_no_more() -> None:
    ended = schedule("Mon Tue Thu Sat", 3, 14, date(2025, 7, 18), date(2025, 8, 18))
    one = only(replace(LAWN_AUGUST, schedules=(ended,)))
    assert one.lacks == frozenset()
    assert one.applied_gal == 756 * 9


def test_a_schedule_of_an_earlier_time_off_says_nothing_of_this_one() -> None:
    ended = schedule("Mon Tue Thu Sat", 3, 14, date(2025, 3, 1), date(2025, 4, 1))
    assert only(replace(LAWN_AUGUST, schedules=(ended,))).lacks == {Lacks.SCHEDULE}


def test_nothing_runs_out_of_season_and_the_need_goes_on() -> None:
    until_mid_august = replace(LAWN_AUGUST, season=((3, 1), (8, 15)))
    one = only(until_mid_august)
    assert one.applied_gal == 756 * 8
    assert one.needed_gal == pytest.approx(11_490.08, abs=0.01)
    assert one.notes == {Note.SEASON}
    winter = only(replace(LAWN_AUGUST, season=((10, 1), (4, 1))))
    assert winter.applied_gal == 0


def test_two_short_times_off_in_a_month_are_pooled() -> None:
    halves = (
        Off(Interval(date(2025, 8, 1), date(2025, 8, 9))),
        Off(Interval(date(2025, 8, 20), date(2025, 9, 1))),
    )
    one = only(replace(LAWN_AUGUST, off=halves))
    assert (one.days, one.applied_gal) == (20, 756 * 10)
    assert one.needed_gal == pytest.approx(11_490.08 * 20 / 31, abs=0.01)


def test_facts_that_change_within_a_month_count_for_their_days() -> None:
    grown = (
        replace(LAWN, days=Interval(date.min, date(2025, 8, 11))),
        replace(LAWN, days=Interval(date(2025, 8, 11)), area_sqft=1200, flow_gpm=9),
    )
    one = only(replace(LAWN_AUGUST, facts=grown))
    assert one.applied_gal == 756 * 5 + 378 * 12
    assert one.needed_gal == pytest.approx(11_490.08 * (10 + 21 / 2) / 31, abs=0.01)


def test_daily_values_are_added_and_a_missing_day_stays_missing() -> None:
    by_day = {date(2025, 8, 1) + timedelta(days=n): (0.2 + n / 1000, 0.0) for n in range(31)}
    (one,) = months(LAWN_AUGUST, Days(by_day), until=LATER)
    inches = sum(0.2 + n / 1000 for n in range(31))
    assert one.needed_gal == pytest.approx(inches * 0.8 / 0.75 * 2400 * 144 / 231)
    assert one.table == "days"
    del by_day[date(2025, 8, 20)]
    (gap,) = months(LAWN_AUGUST, Days(by_day), until=LATER)
    assert (gap.needed_gal, gap.lacks) == (None, {Lacks.CLIMATE})
    (before,) = months(LAWN_AUGUST, Days(by_day), until=date(2025, 8, 20))
    assert before.lacks == frozenset()


def test_unknown_rain_counts_as_none_and_says_so() -> None:
    (one,) = months(LAWN_AUGUST, Table(VACAVILLE, {}, None), until=LATER)
    assert one.notes == {Note.NO_RAIN}
    assert one.needed_gal == pytest.approx(11_490.08, abs=0.01)


def test_the_usable_rain_of_a_whole_month_is_found_before_it_is_shared_by_days() -> None:
    week = replace(LAWN_STATION, off=(Off(Interval(date(2025, 10, 1), date(2025, 10, 8))),))
    (one,) = months(week, LAWN_CLIMATE, until=LATER, effective=rain.usda_month_in)
    usable = rain.usda_month_in(1.20)
    depth = (4.3 * 0.8 - usable) * 7 / 31
    assert one.needed_gal == pytest.approx(depth / 0.75 * 2400 * 144 / 231)
