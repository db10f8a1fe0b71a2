"""Scores of bands, against published examples and sums by hand."""

from typing import Any

import numpy as np
import pytest
from scipy import stats

from reports.ahead.engines.past import Past
from reports.ahead.engines.queue import NEVER
from reports.ahead.engines.scoring import (
    Band,
    Held,
    as_many_as_now,
    back_test,
    crps,
    interval_score,
    monthly,
    score,
    straight_line,
    widened,
    widening,
)
from tests.bench.companies import company


def test_the_interval_score_is_width_and_what_was_missed() -> None:
    """Formula as in scoringutils, after Gneiting and Raftery 2007; the figures by hand."""
    band = Band(5, 2, 8)
    assert interval_score(band, 5) == 6
    assert interval_score(band, 8) == 6
    assert interval_score(band, 10) == pytest.approx(6 + 20 * 2)
    assert interval_score(band, 1) == pytest.approx(6 + 20 * 1)


# Printed in the tests of R's scoringRules (test-crps_norm.R, test-crps_nbinom.R); those without a
# print were computed as the sum of (F(k) - [y <= k])² and as E|X - y| - E|X - X'| / 2.
@pytest.mark.parametrize(
    ("of", "came", "wanted"),
    [
        (stats.norm(0, 1), -3, 2.43657473),
        (stats.nbinom(100, 0.95), 5, 0.53215258),
        (stats.nbinom(200.1, 0.82), 44, 1.70859687),
        (stats.nbinom(2000.1, 0.9), 222, 3.66926728),
        (stats.norm(10, 3), 14, 2.561802),
        (stats.norm(10, 3), 7, 1.807324),
        (stats.poisson(2), 0, 1.228494),
        (stats.poisson(2), 5, 2.273470),
        (stats.nbinom(7, 8.8 / 17.8), 9, 1.407337),
    ],
)
def test_the_score_of_a_whole_forecast_has_its_published_values(
    of: Any, came: float, wanted: float
) -> None:
    points = of.ppf((np.arange(20_001) + 0.5) / 20_001)
    assert crps(points, came) == pytest.approx(wanted, abs=3e-4 * max(1, wanted))


def test_the_score_of_few_plays_is_that_of_all_pairs() -> None:
    plays = np.array([7.0, 3.0, 3.0, 12.0])
    pairs = np.abs(plays[:, None] - plays).mean() / 2
    assert crps(plays, 5) == pytest.approx(np.abs(plays - 5).mean() - pairs)
    # A single number is as bad as it is off; one that came to be has no error.
    assert (crps(np.array([4.0]), 9), crps(np.array([4.0]), 4)) == (5, 0)


def test_a_rule_is_scored_by_all_that_it_says() -> None:
    levels = (np.arange(199) + 0.5) / 199
    rule = as_many_as_now([30, 33, 30], 1)
    assert crps(rule.points(levels), 37) == pytest.approx(
        crps(stats.norm(30, 3).ppf(levels), 37), rel=1e-12
    )
    # No count is below 0.
    assert straight_line([3, 1, 2, 0], 9).points(levels).min() == 0


def test_as_many_as_now_is_as_wide_as_it_changed() -> None:
    """By hand: changes over two months are 1, 3; their root mean square is 5 ** .5."""
    band = as_many_as_now([4, 6, 5, 9], 2).band
    assert band.middle == 9
    assert band.high - 9 == pytest.approx(1.644854 * 5**0.5, rel=1e-6)
    assert as_many_as_now([9], 2).band.high == pytest.approx(9 + 1.644854 * 3, rel=1e-6)
    assert as_many_as_now([0, 9, 0], 1).band.low == 0


def test_a_straight_line_goes_on() -> None:
    band = straight_line([10, 12, 14, 16, 18], 3).band
    assert band == pytest.approx((24, 24, 24))
    assert straight_line([8, 6, 4, 2], 3).band == pytest.approx((0, 0, 0))
    assert straight_line([1, 2, 3], 1) == as_many_as_now([1, 2, 3], 1)


def test_the_band_of_a_line_is_that_of_a_prediction() -> None:
    """By hand: left over -.1, .4, -.5, .2 of 1, 2, 3, 4 with slope .6 — from the usual formula."""
    counts = [1.0, 2.1, 1.8, 3.1]
    band = straight_line(counts, 1).band
    x = np.arange(4.0)
    slope, level = np.polyfit(x, counts, 1)
    s = np.sqrt(((counts - level - slope * x) ** 2).sum() / 2)
    assert band.middle == pytest.approx(level + 4 * slope)
    assert band.high - band.middle == pytest.approx(
        2.919986 * s * np.sqrt(1 + 1 / 4 + 2.5**2 / 5), rel=1e-6
    )


def test_scores_are_means_over_the_same_forecasts() -> None:
    wide, tight = Band(5, 0, 10), Band(4, 3, 5)
    held = [
        Held(1, wide, (4, 6), tight, wide, 5, (1.0, 2.0, 3.0)),
        Held(3, wide, (4, 6), tight, wide, 7, (2.0, 4.0, 8.0)),
    ]
    found = score(held)
    assert found is not None
    assert (found.forecasts, found.inside_half) == (2, 1)
    assert (found.ours.error, found.ours.score, found.ours.inside) == (1, 10, 2)
    assert (found.same.error, found.same.inside) == (2, 1)
    assert found.same.score == pytest.approx((2 + 2 + 40) / 2)
    assert (found.ours.crps, found.same.crps, found.line.crps) == (1.5, 3, 5.5)
    assert found.usual == (1, 2)
    assert score([]) is None


def test_what_is_usual_is_binomial() -> None:
    """Of 20 honest 90 % bands 15 to 20 hold, of 30 23 to 30: binomial, computed."""
    one = Held(1, Band(5, 0, 10), (4, 6), Band(5, 0, 10), Band(5, 0, 10), 5, (1, 1, 1))
    for n, usual in ((20, (15, 20)), (30, (23, 30)), (50, (41, 49))):
        found = score([one] * n)
        assert found is not None
        assert found.usual == usual


def test_counts_go_back_as_far_as_records() -> None:
    seen = Past(np.array([-100.0]), np.array([NEVER]), np.zeros(1), np.zeros(1), -70.0, 0.0)
    assert monthly(seen) == [1, 1, 1]


def test_past_forecasts_know_nothing_of_what_came() -> None:
    """Changing what came after an origin changes what it is held against, not the forecast."""
    seen = company(6).past
    told: list[tuple[int, int]] = []
    found = back_test(seen, seed=1, told=lambda done, of: told.append((done, of)))
    assert told == [(done, 12) for done in range(12)]
    assert {one.months for one in found} == {1, 3, 6}
    assert len(found) == 12 + 10 + 7
    kept = seen.off_on <= -60
    cut = Past(
        seen.off_on[kept], np.where(seen.back_on > -60, NEVER, seen.back_on)[kept],
        seen.event[kept], seen.place[kept], seen.since, seen.year_day)  # fmt: skip
    other = back_test(cut, seed=1)
    pairs = list(zip(found, other, strict=True))
    assert all(a.ours == b.ours for a, b in pairs[: 3 * 6])
    assert any(a.came != b.came for a, b in pairs)


def test_too_short_a_past_is_not_held_against_anything() -> None:
    seen = Past(np.array([-5.0]), np.array([-1.0]), np.zeros(1), np.zeros(1), -60.0, 0.0)
    assert back_test(seen, seed=1) == []


def held_at(came: float, n: int) -> list[Held]:
    band = Band(10, 8, 14)
    return [Held(1, band, (9, 11), band, band, came, (1, 1, 1))] * n


def test_bands_that_failed_are_widened() -> None:
    """By hand: honest 90 % bands hold 15 to 20 of 20 times; 22 is three times as far as 14."""
    assert widening(held_at(10, 15) + held_at(22, 5)) == 1
    assert widening(held_at(10, 14) + held_at(22, 6)) == 3
    assert widening(held_at(10, 14) + held_at(2, 6)) == 4
    assert widening(held_at(10, 14) + held_at(100, 6)) == 5
    assert widening(held_at(22, 19)) == 1  # too few to tell
    assert widening([]) == 1


def test_a_wider_band_keeps_its_middle_and_never_goes_below_0() -> None:
    assert widened([8, 9, 10, 12, 14], 3) == [4, 7, 10, 16, 22]
    assert widened([1, 2, 3], 9) == [0, 2, 11]
    assert widened([8, 9, 10, 12, 14], 1) == [8, 9, 10, 12, 14]
