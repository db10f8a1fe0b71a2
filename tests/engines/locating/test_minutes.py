"""How long a search takes: the mean of the plan, and what nine of ten end under."""

from dataclasses import replace
from math import log

import numpy as np
import pytest
from scipy import stats

from faults.locating.engines.minutes import minutes_of, spread
from faults.locating.engines.searching import Searcher
from tests.engines.locating.held_to_minutes import searcher_of, share_below


@pytest.mark.parametrize(("shape", "scale"), [(4.0, 9.6), (1.5, 20.0), (30.0, 2.0), (0.8, 15.0)])
def test_finds_the_gamma_distribution_that_it_was_given(shape: float, scale: float) -> None:
    dislike = 0.006
    disliked = -shape * log(1 - dislike * scale) / dislike
    found = spread(shape * scale, disliked, dislike)
    assert found.mean == pytest.approx(shape * scale)
    assert found.nine_of_ten == pytest.approx(stats.gamma.ppf(0.9, shape, scale=scale), rel=1e-6)
    assert found.most_likely == pytest.approx(max(0, shape - 1) * scale, rel=1e-6)


def test_no_spread_is_one_figure() -> None:
    for disliked in (20.0, 20.001, 19.0):
        assert spread(20.0, disliked, 0.006).nine_of_ten == 20.0
    assert spread(20.0, 20.1, 0.006).nine_of_ten > 20.1


@pytest.mark.parametrize(("mean", "dislike"), [(0.0, 0.006), (-1.0, 0.006), (10.0, 0.0)])
def test_what_cannot_be_is_refused(mean: float, dislike: float) -> None:
    with pytest.raises(ValueError, match="Expected mean"):
        spread(mean, 20.0, dislike)


@pytest.fixture(scope="module")
def searcher() -> Searcher:
    """A search of the standard world."""
    return searcher_of(7)


def test_the_limit_lies_above_the_mean_and_the_mean_above_what_is_most_likely(
    searcher: Searcher,
) -> None:
    found = minutes_of(searcher)
    assert 0 < found.most_likely < found.mean < found.nine_of_ten < 4 * found.mean


def test_a_longer_line_takes_longer(searcher: Searcher) -> None:
    legs = tuple(replace(leg, length_ft=leg.length_ft * 3) for leg in searcher.line.legs)
    longer = replace(searcher, line=replace(searcher.line, legs=legs))
    assert minutes_of(longer).nine_of_ten > minutes_of(searcher).nine_of_ten


def test_some_nine_of_ten_simulated_searches_end_under_the_limit() -> None:
    # Of 40 searches the share scatters by 5 %; `.ci/long minutes` holds 88 to 92 % of thousands.
    assert 0.75 <= share_below(range(40)) <= 0.99
    assert np.isfinite(minutes_of(searcher_of(3)).nine_of_ten)
