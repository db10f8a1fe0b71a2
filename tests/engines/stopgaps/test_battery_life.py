"""Battery life by kind: Weibull lives of known shape, a log-normal prior on their scale."""

from collections.abc import Sequence
from math import exp, log, log2
from random import Random
from statistics import mean

import pytest

from sites.stopgaps.engines.battery_life import (
    UNKNOWN,
    Conditions,
    Effect,
    Fit,
    Fits,
    Life,
    fit_lives,
)

# Of a Weibull of shape 4 and scale 1, 200 of them evenly through its distribution.
QUANTILES = [(-log(1 - (n + 0.5) / 200)) ** 0.25 for n in range(200)]

# exp(-(t/scale)**4) = 0.9
STILL = 0.1053605**0.25


def fitted(lives: Sequence[Life], *, prior_days: int) -> Fit:
    """What is said of one kind alone."""
    return fit_lives({"AA": lives}, prior_days=prior_days).kinds["AA"]


def test_without_sets_the_prior_stands() -> None:
    for days in (1, 90, 180, 365):
        assert fitted([], prior_days=days) == Fit(0, 0, days)


def test_sets_that_still_had_charge_lengthen_and_empty_ones_shorten() -> None:
    kept = [fitted([Life(180, False)] * n, prior_days=180).due_days for n in (0, 1, 5, 50)]
    assert kept == sorted(kept)
    assert kept[0] < kept[1] < kept[3]
    died = [fitted([Life(150, True)] * n, prior_days=180).due_days for n in (0, 1, 5, 50)]
    assert died == sorted(died, reverse=True)
    assert died[3] < 150
    # The same days, once found empty and once not.
    one = fitted([Life(150, True), Life(150, False)], prior_days=180)
    assert (one.total, one.empty) == (2, 1)
    assert one.due_days < fitted([Life(150, False)] * 2, prior_days=180).due_days


def test_the_prior_weighs_like_a_set_or_two() -> None:
    """A kind that lasts half as long as the rule is known for that after a few empty sets."""
    due = [fitted([Life(100, True)] * n, prior_days=180).due_days for n in (0, 1, 3, 10, 100)]
    assert due == sorted(due, reverse=True)
    assert due[:3] == [180, 116, 76]
    # Nine of ten still run: 100 days are the root mean 4th power of lives whose scale is 100.
    assert due[4] == pytest.approx(100 * 0.1053605**0.25, rel=0.02)


def test_with_a_scale_that_is_known_the_quantile_is_weibulls() -> None:
    """scipy.stats.weibull_min(4, scale=300).ppf(0.1) = 170.92."""
    lives = [Life(round(300 * x), True) for x in QUANTILES]
    assert fitted(lives, prior_days=180).due_days == pytest.approx(170.92, rel=0.02)


@pytest.mark.parametrize("scale", [80.0, 200.0, 500.0])
def test_known_draws_bring_back_the_day_on_which_nine_of_ten_still_run(scale: float) -> None:
    """Half of the sets are changed before they are empty: censored, at a day of their own."""
    random = Random(round(scale))
    truth = scale * STILL
    found = []
    for _n in range(40):
        lives = []
        for _set in range(200):
            life, changed = random.weibullvariate(scale, 4), random.uniform(0.5, 1.3) * scale
            lives.append(Life(max(1, round(min(life, changed))), is_empty=life <= changed))
        found.append(fitted(lives, prior_days=180).due_days)
    assert mean(found) == pytest.approx(truth, rel=0.03)


def test_days_that_cannot_be_are_refused() -> None:
    with pytest.raises(ValueError, match="days > 0"):
        Life(0, is_empty=True)
    with pytest.raises(ValueError, match="prior_days > 0"):
        fitted([], prior_days=0)


def company(random: Random, sets: int, *, by_use: float, by_cold: float) -> dict[str, list[Life]]:
    """Two kinds of 300 and 200 days at half an hour a day, without cold. Of a third it is not
    known what they had to do; half are changed before they are empty."""
    lives: dict[str, list[Life]] = {"AA": [], "9 V": []}
    for kind, scale in (("AA", 300.0), ("9 V", 200.0)):
        for _n in range(sets):
            given = Conditions(2 ** random.gauss(-1, 1), random.choice([0.0, 0.2, 0.6]))
            assert given.hours is not None
            assert given.cold is not None
            doublings = log2(max(given.hours, 0.05)) + 1
            here = scale * exp(by_use * doublings + by_cold * given.cold)
            life, changed = random.weibullvariate(here, 4), random.uniform(0.5, 1.3) * here
            known = given if random.random() < 2 / 3 else UNKNOWN
            lives[kind].append(Life(max(1, round(min(life, changed))), life <= changed, known))
    return lives


@pytest.mark.parametrize(("by_use", "by_cold"), [(-0.25, -0.5), (0.0, 0.0), (-0.1, 0.3)])
def test_known_draws_bring_back_what_use_and_cold_do(by_use: float, by_cold: float) -> None:
    found = [
        fit_lives(company(Random(seed), 150, by_use=by_use, by_cold=by_cold), prior_days=180)
        for seed in range(40)
    ]
    assert mean(each.use.log_life for each in found) == pytest.approx(by_use, abs=0.02)
    # Drawn a little towards none by the prior.
    assert mean(each.cold.log_life for each in found) == pytest.approx(by_cold, abs=0.05)
    assert [each.kinds["AA"].total for each in found] == [150] * 40
    for hours, cold in ((0.5, 0.0), (2.0, 0.6), (0.125, 0.2)):
        truth = 300 * STILL * exp(by_use * log2(hours / 0.5) + by_cold * cold)
        due = mean(each.due_days("AA", Conditions(hours, cold)) or 0 for each in found)
        assert due == pytest.approx(truth, rel=0.05)


def test_what_is_not_known_moves_nothing() -> None:
    bare = [Life(100, True), Life(150, False), Life(90, True)]
    plain = fit_lives({"AA": bare, "9 V": bare[:1]}, prior_days=180)
    assert (plain.use, plain.cold) == (Effect(), Effect())
    # As nobody's sets show an effect, none is taken for any timer.
    for given in (UNKNOWN, Conditions(8.0, 1.0), Conditions(0.0)):
        assert plain.due_days("AA", given) == plain.kinds["AA"].due_days
    assert plain.due_days("CR2", UNKNOWN) is None
    # Sets that all had to do the same show none either.
    same = [Life(each.days, each.is_empty, Conditions(1.0, 0.3)) for each in bare]
    alike = fit_lives({"AA": same}, prior_days=180)
    assert alike.kinds["AA"] == fitted(bare, prior_days=180)
    assert (alike.use, alike.cold) == (Effect(3, 0.0), Effect(3, pytest.approx(0.3)))
    # A set of which it is not known changes what is said of its kind alone.
    known = [Life(60, True, Conditions(2.0)), Life(120, True, Conditions(0.5))]
    one = fit_lives({"AA": known}, prior_days=180)
    two = fit_lives({"AA": known, "9 V": bare}, prior_days=180)
    assert one.use.log_life < 0
    assert (two.use.sets, two.use.usual) == (2, 0.0)
    assert two.use.log_life == pytest.approx(one.use.log_life, abs=1e-9)
    assert two.kinds["AA"] == one.kinds["AA"]


def test_who_has_more_to_do_is_due_sooner_within_what_was_seen() -> None:
    lives = [
        Life(60, True, Conditions(2.0, 0.5)),
        Life(70, True, Conditions(2.0, 0.4)),
        Life(140, True, Conditions(0.5, 0.0)),
        Life(150, False, Conditions(0.5, 0.1)),
    ]
    found = fit_lives({"AA": lives}, prior_days=180)
    assert (found.use.sets, found.use.usual, found.cold.usual) == (4, 0.0, 0.25)
    hours = [found.due_days("AA", Conditions(each)) or 0 for each in (0.25, 0.5, 1.0, 2.0, 4.0)]
    assert hours == sorted(hours, reverse=True)
    assert len(set(hours)) == 5
    assert hours[2] == found.kinds["AA"].due_days
    # More than four times the usual hours, or less than a quarter: as four times, as a quarter.
    assert found.due_days("AA", Conditions(8.0)) == hours[4]
    assert found.due_days("AA", Conditions(0.0)) == hours[0]
    cold = [found.due_days("AA", Conditions(cold=each)) or 0 for each in (0.0, 0.25, 1.0)]
    assert cold == sorted(cold, reverse=True)
    assert cold[1] == found.kinds["AA"].due_days


def test_effects_are_told_in_per_cent() -> None:
    assert Effect(3, 0.0, log(0.8)).percent == -20
    assert Effect(3, 0.0, log(1.25)).percent == 25
    assert Fits({}).due_days("AA", UNKNOWN) is None
    assert Fits({"AA": Fit(1, 1, 1)}, use=Effect(2, 0.0, -5.0)).due_days("AA", Conditions(4)) == 1


@pytest.mark.parametrize("given", [{"hours": -0.1}, {"cold": -0.1}, {"cold": 1.01}])
def test_conditions_that_cannot_be_are_refused(given: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="hours >= 0"):
        Conditions(**given)
