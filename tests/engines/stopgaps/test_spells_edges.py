"""The edges of days off central: the day before, the day itself, the day after; two claims."""

from datetime import date, timedelta

import pytest

from sites.stopgaps.engines.spells import (
    Claim,
    Interval,
    Reason,
    days_in,
    in_season,
    periods_off,
    spells,
    watering_days_in,
)

FIRST, LAST = date(2025, 3, 10), date(2025, 3, 20)
ONE = timedelta(days=1)
DAYS = Interval(FIRST, LAST)


@pytest.mark.parametrize(
    ("day", "holds"),
    [
        (FIRST - ONE, False),
        (FIRST, True),
        (FIRST + ONE, True),
        (LAST - ONE, True),
        (LAST, False),
        (LAST + ONE, False),
    ],
)
def test_an_interval_holds_its_first_day_and_not_its_last(day: date, holds: bool) -> None:
    assert DAYS.holds(day) is holds
    assert Interval(FIRST).holds(day) is (day >= FIRST)


def test_an_interval_of_no_length_holds_no_day_and_is_no_mistake() -> None:
    assert not Interval(FIRST, FIRST).holds(FIRST)
    with pytest.raises(ValueError, match="Expected to_on >= from_on"):
        Interval(FIRST, FIRST - ONE)


@pytest.mark.parametrize(
    ("second", "lengths"),
    [
        (Interval(LAST - ONE, LAST + ONE), [11]),
        (Interval(LAST, LAST + ONE), [11]),
        (Interval(LAST + ONE, LAST + 2 * ONE), [10, 1]),
    ],
)
def test_a_second_stopgap_the_day_before_on_and_after_the_first_ended(
    second: Interval, lengths: list[int]
) -> None:
    found = spells(periods_off([Claim(DAYS, Reason.WIRE, 1), Claim(second, Reason.WIRE, 2)]))
    assert [days_in(each.days, until=date(2026, 1, 1)) for each in found] == lengths


@pytest.mark.parametrize(
    ("until", "days"),
    [(FIRST - ONE, 0), (FIRST, 0), (FIRST + ONE, 1), (LAST, 10), (LAST + ONE, 10)],
)
def test_days_are_counted_before_the_one_that_is_asked_for(until: date, days: int) -> None:
    assert days_in(DAYS, until=until) == days
    assert watering_days_in(DAYS, until=until, season=None) == days


def test_of_two_claims_of_one_reason_the_older_one_is_the_source_then_the_lower_number() -> None:
    older, younger = Claim(Interval(FIRST), Reason.WIRE, 9), Claim(Interval(LAST), Reason.WIRE, 1)
    assert [part.source for part in periods_off([younger, older])] == [9]
    same = Claim(Interval(FIRST), Reason.WIRE, 4)
    assert [part.source for part in periods_off([older, same])] == [4]
    # One without a number comes first of all.
    unnamed = Claim(Interval(FIRST), Reason.WIRE)
    assert [part.source for part in periods_off([older, same, unnamed])] == [None]


def test_the_same_claim_that_goes_on_is_one_part_and_another_of_its_reason_is_two() -> None:
    first = Claim(DAYS, Reason.WIRE, 1)
    cut = Claim(Interval(FIRST + 2 * ONE, FIRST + 4 * ONE), Reason.CLIENT, 2)
    assert [part.days for part in periods_off([first, cut])] == [DAYS]
    other = Claim(Interval(LAST, LAST + ONE), Reason.WIRE, 2)
    assert [part.source for part in periods_off([first, other])] == [1, 2]
    valve = Claim(Interval(LAST, LAST + ONE), Reason.VALVE, 1)
    assert [part.reason for part in periods_off([first, valve])] == [Reason.WIRE, Reason.VALVE]


@pytest.mark.parametrize("outside_from", [FIRST - ONE, FIRST, FIRST + ONE])
def test_days_outside_are_cut_and_the_rest_stays(outside_from: date) -> None:
    outside = Interval(outside_from, outside_from + 2 * ONE)
    parts = periods_off([Claim(DAYS, Reason.WIRE)], [outside])
    kept = [FIRST + n * ONE for n in range(10) if not outside.holds(FIRST + n * ONE)]
    assert [d for d in kept if any(part.days.holds(d) for part in parts)] == kept
    assert sum(days_in(part.days, until=LAST) for part in parts) == len(kept)


@pytest.mark.parametrize("exact", [True, False])
def test_a_doubtful_day_stays_in_doubt_over_a_cut_that_changes_nothing(exact: bool) -> None:
    first = Claim(DAYS, Reason.WIRE, 1, is_exact=exact)
    cut = Claim(Interval(FIRST + ONE, LAST), Reason.CLIENT, 2)
    (spell,) = spells(periods_off([first, cut]))
    assert spell.is_exact is exact


SUMMER, WINTER = ((4, 15), (10, 1)), ((11, 1), (2, 10))


@pytest.mark.parametrize(
    ("season", "day", "inside"),
    [
        (SUMMER, date(2025, 4, 14), False),
        (SUMMER, date(2025, 4, 15), True),
        (SUMMER, date(2025, 4, 16), True),
        (SUMMER, date(2025, 9, 30), True),
        (SUMMER, date(2025, 10, 1), False),
        (SUMMER, date(2025, 10, 2), False),
        (WINTER, date(2025, 10, 31), False),
        (WINTER, date(2025, 11, 1), True),
        (WINTER, date(2025, 12, 31), True),
        (WINTER, date(2026, 1, 1), True),
        (WINTER, date(2026, 2, 9), True),
        (WINTER, date(2026, 2, 10), False),
        (((5, 1), (5, 1)), date(2025, 5, 1), False),
    ],
)
def test_a_season_has_its_first_day_and_not_its_last(
    season: tuple[tuple[int, int], tuple[int, int]], day: date, inside: bool
) -> None:
    assert in_season(day, season) is inside
    alone = Interval(day, day + ONE)
    assert watering_days_in(alone, until=day + ONE, season=season) == inside
