"""By which day a fault is over: chances by hand counts, edges, and a small calibration."""

from dataclasses import replace
from math import exp

import pytest

from faults.promises.engines.promising import (
    LONGEST_DAYS,
    Habits,
    Open,
    Option,
    Outlook,
    chance_too_long,
    play,
    share_kept,
    slips,
)
from tests.bench.bench_promises import kept_of

MANY = 4000
# So much of its own that the prior hardly shows.
SURE = Habits([3] * MANY, [0] * MANY, [2] * MANY, [5] * MANY, [1] * MANY, [9] * MANY)


def middle(now: Open) -> int:
    found = play(now, SURE, seed=1).over
    return found[len(found) // 2]


def test_options_are_the_first_days_that_round_to_so_many_of_ten() -> None:
    ten = Outlook(list(range(1, 11)))
    assert ten.options() == [Option(5, 5), Option(8, 8), Option(9, 9)]
    assert [ten.chance(day) for day in (0, 1, 10)] == [0, 0.1, 1]
    assert Outlook([4] * 10).options() == [Option(4, 9)]
    assert Outlook([LONGEST_DAYS] * 10).options() == [Option(LONGEST_DAYS, 9)]
    assert Outlook([LONGEST_DAYS + 1] * 10).options() == []


@pytest.mark.parametrize(
    ("now", "days"),
    [
        (Open(), 3 + 5 + 1),
        (Open(waited=2), 1 + 5 + 1),
        (Open(waited=3), 0 + 5 + 1),
        (Open(planned_in=4), 4 + 5 + 1),
        (Open(planned_in=4, visited=1), 4 + 1),
        (Open(planned_in=4, asked_since=0), 9 + 5 + 1),
        (Open(planned_in=4, asked_since=7), 4 + 5 + 1),
        (Open(planned_in=4, not_before=6), 6 + 5 + 1),
        (Open(planned_in=4, too_long=1), 5 + 5 + 1),
        (Open(visited=1, since_visit=2), 3 + 1),
        (Open(visited=2, since_visit=0), 1),
        (Open(visited=2, since_visit=1), 0),
    ],
)
def test_each_part_of_the_way_counts_once(now: Open, days: int) -> None:
    assert middle(now) == days


def test_nothing_recorded_still_gives_wide_days_and_the_same_ones_each_time() -> None:
    found = play(Open(), Habits(), seed=4)
    assert found == play(Open(), Habits(), seed=4)
    assert found.over[0] >= 1
    assert found.over[-200] - found.over[200] > 15


def test_a_visit_is_too_long_by_the_spread_of_its_minutes() -> None:
    # Lognormal of spread 0.5 around a mean of 100: nine of ten end within 155.2 (by hand).
    nine = 100 * exp(1.2815515655446004 * 0.5 - 0.125)
    assert chance_too_long(100, nine, nine) == pytest.approx(0.1, abs=1e-9)
    assert chance_too_long(100, 100, 100) == 0
    assert chance_too_long(101, 101, 100) == 1
    assert chance_too_long(100, nine, 480) < 0.001


def test_interval_of_a_share_against_a_published_value() -> None:
    # Wilson, 8 of 10: 0.490 to 0.943 (a common worked example, from memory).
    low, high = share_kept(8, 10)
    assert (round(low, 3), round(high, 3)) == (0.490, 0.943)
    assert share_kept(0, 5)[0] == 0
    assert share_kept(5, 5)[1] == 1


@pytest.mark.parametrize(
    ("kept", "of", "low", "high"),
    [
        # Roots of the quadratic, computed apart.
        (4, 5, 0.3755, 0.9638),
        (16, 20, 0.5840, 0.9193),
        (40, 50, 0.6696, 0.8876),
        (80, 100, 0.7112, 0.8666),
        (160, 200, 0.7391, 0.8495),
        (14, 14, 0.7847, 1),
        (20, 20, 0.8389, 1),
    ],
)
def test_interval_of_a_share(kept: int, of: int, low: float, high: float) -> None:
    assert share_kept(kept, of) == pytest.approx((low, high), abs=1e-4)


def test_promises_at_eight_of_ten_are_kept_eight_times_of_ten() -> None:
    kept, of = kept_of(400, seed=5000)[8]
    assert of >= 200
    assert 0.73 <= kept / of <= 0.87  # two standard errors of 200 are 5.7 points


@pytest.mark.parametrize(
    ("chance", "tenths", "expected"),
    [
        (0.5, 8, False),
        (0.499, 8, True),
        # Said to hold five times of ten, it was as sure as that from the first day on.
        (0.46, 5, False),
        (0.45, 5, False),
        (0.449, 5, True),
        (0.9, 9, False),
    ],
)
def test_a_promise_slips_once_it_is_less_sure_than_said_and_than_not(
    chance: float, tenths: int, expected: bool
) -> None:
    assert slips(chance, tenths) is expected


def over_by(now: Open, habits: Habits, days: int) -> float:
    return play(now, habits, seed=3).chance(days)


def test_waits_that_are_not_over_make_a_first_visit_later() -> None:
    short = Habits(first=[2] * 20, visits=[1] * 20, tails=[0] * 20)
    queue = replace(short, unvisited=[200] * 20)
    assert over_by(Open(), short, 30) > 0.9
    assert over_by(Open(), queue, 30) < 0.6
    assert over_by(Open(planned_in=2), queue, 30) == over_by(Open(planned_in=2), short, 30)


def test_a_short_wait_that_is_not_over_says_next_to_nothing() -> None:
    known = Habits(first=[10] * 20, visits=[1] * 20, tails=[0] * 20)
    new = replace(known, unvisited=[1] * 20)
    assert over_by(Open(), new, 12) == pytest.approx(over_by(Open(), known, 12), abs=0.05)


def test_the_curve_is_the_one_of_kaplan_and_meier() -> None:
    """Remission of leukaemia under 6-MP (Freireich et al., 1963), from memory: ends after 6, 6, 6,
    7, 10, 13, 16, 22 and 23 weeks, twelve still in remission; 0.857, 0.807, 0.753, 0.690, 0.627,
    0.538 and 0.448 are left. The prior of four is so little beside a hundred of each."""
    ends = [6, 6, 6, 7, 10, 13, 16, 22, 23]
    still = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35]
    habits = replace(SURE, first=ends * 100, unvisited=still * 100)
    habits = replace(habits, visits=[1] * MANY, tails=[0] * MANY)
    found = play(Open(), habits, seed=1, plays=20000)
    known = {6: 0.857, 7: 0.807, 10: 0.753, 13: 0.690, 16: 0.627, 22: 0.538, 23: 0.448}
    for day, share in known.items():
        assert 1 - found.chance(day) == pytest.approx(share, abs=0.015)


def test_what_has_waited_longer_than_all_others_is_not_promised_for_tomorrow() -> None:
    known = Habits(first=[5] * 20, visits=[1] * 20, tails=[0] * 20)
    early = play(Open(waited=300), known, seed=1)
    assert early.chance(20) < 0.1
    planned = play(Open(waited=300, planned_in=1), known, seed=1)
    assert planned.chance(20) > 0.9


def test_the_fault_itself_is_no_other_that_waits() -> None:
    known = Habits(first=[40] * 20, visits=[1] * 20, tails=[0] * 20)
    alone = play(Open(waited=30), replace(known, unvisited=[30]), seed=1)
    assert alone.over == play(Open(waited=30), known, seed=1).over
    two = play(Open(waited=30), replace(known, unvisited=[30, 90]), seed=1)
    assert two.chance(20) < alone.chance(20)
