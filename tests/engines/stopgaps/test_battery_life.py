"""Battery life by kind: Weibull lives of known shape, a log-normal prior on their scale."""

from math import log
from random import Random
from statistics import mean

import pytest

from sites.stopgaps.engines.battery_life import SHAPE, Fit, Life, fit_lives

# Of a Weibull of shape 4 and scale 1, 200 of them evenly through its distribution.
QUANTILES = [(-log(1 - (n + 0.5) / 200)) ** 0.25 for n in range(200)]


def test_without_sets_the_prior_stands() -> None:
    for days in (1, 90, 180, 365):
        assert fit_lives([], prior_days=days) == Fit(0, 0, days)


def test_sets_that_still_had_charge_lengthen_and_empty_ones_shorten() -> None:
    kept = [fit_lives([Life(180, False)] * n, prior_days=180).due_days for n in (0, 1, 5, 50)]
    assert kept == sorted(kept)
    assert kept[0] < kept[1] < kept[3]
    died = [fit_lives([Life(150, True)] * n, prior_days=180).due_days for n in (0, 1, 5, 50)]
    assert died == sorted(died, reverse=True)
    assert died[3] < 150
    # The same days, once found empty and once not.
    one = fit_lives([Life(150, True), Life(150, False)], prior_days=180)
    assert (one.total, one.empty) == (2, 1)
    assert one.due_days < fit_lives([Life(150, False)] * 2, prior_days=180).due_days


def test_the_prior_weighs_like_a_set_or_two() -> None:
    """A kind that lasts half as long as the rule is known for that after a few empty sets."""
    due = [fit_lives([Life(100, True)] * n, prior_days=180).due_days for n in (0, 1, 3, 10, 100)]
    assert due == sorted(due, reverse=True)
    assert due[:3] == [180, 116, 76]
    # Nine of ten still run: 100 days are the root mean 4th power of lives whose scale is 100.
    assert due[4] == pytest.approx(100 * 0.1053605**0.25, rel=0.02)


def test_with_a_scale_that_is_known_the_quantile_is_weibulls() -> None:
    """scipy.stats.weibull_min(4, scale=300).ppf(0.1) = 170.92."""
    lives = [Life(round(300 * x), True) for x in QUANTILES]
    assert fit_lives(lives, prior_days=180).due_days == pytest.approx(170.92, rel=0.02)


@pytest.mark.parametrize("scale", [80.0, 200.0, 500.0])
def test_known_draws_bring_back_the_day_on_which_nine_of_ten_still_run(scale: float) -> None:
    """Half of the sets are changed before they are empty: censored, at a day of their own."""
    random = Random(round(scale))
    truth = scale * 0.1053605 ** (1 / SHAPE)  # exp(-(t/scale)**4) = 0.9
    found = []
    for _n in range(40):
        lives = []
        for _set in range(200):
            life, changed = random.weibullvariate(scale, SHAPE), random.uniform(0.5, 1.3) * scale
            lives.append(Life(max(1, round(min(life, changed))), is_empty=life <= changed))
        found.append(fit_lives(lives, prior_days=180).due_days)
    assert mean(found) == pytest.approx(truth, rel=0.03)


def test_days_that_cannot_be_are_refused() -> None:
    with pytest.raises(ValueError, match="days > 0"):
        Life(0, is_empty=True)
    with pytest.raises(ValueError, match="prior_days > 0"):
        fit_lives([], prior_days=0)
