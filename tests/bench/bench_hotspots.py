"""How long 100,000 faults on 50,000 legs take to rank. Exits with 1 when over budget or wrong.

uv run python -m tests.bench.bench_hotspots               the full size
uv run python -m tests.bench.bench_hotspots --scale 0.02  a quick look

Bar: less than 5 s and 1 GB at the full size. The same rows are then computed one by one with
scipy and statsmodels, which must agree, and whose time is printed beside.
"""

import argparse
import resource
import sys
import time

import numpy as np
from scipy import stats
from statsmodels.stats.multitest import multipletests
from statsmodels.stats.rates import confint_poisson

from reports.hotspots.engines.hotspots import Ranked, rank
from reports.hotspots.engines.recurrence import curve
from reports.hotspots.engines.scan import together
from reports.hotspots.engines.trend import History, trend_of
from reports.hotspots.engines.wholes import Piece, whole_legs

LEGS, FAULTS = 50_000, 100_000
SECONDS, GIGABYTES = 5.0, 1.0
YEARS = 3.0
CLOSE = 1e-8


def main() -> int:
    """Make the data, rank, compare, print; return 1 where it took too long or differs."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--scale", type=float, default=1.0, help="part of the full size (1)")
    options = parser.parse_args()
    size, faults = round(LEGS * options.scale), round(FAULTS * options.scale)
    feet, wires, at, when, where = _make(size, faults)
    started = time.perf_counter()
    ranked, histories = _all_answers(feet, wires, at, when, where)
    took = time.perf_counter() - started
    # ru_maxrss is in kB on Linux.
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    print(f"{faults:,} faults on {size:,} legs: {took:.2f} s, {peak:.2f} GB at the peak")
    started = time.perf_counter()
    worst = _compare(ranked, histories)
    print(f"row by row with scipy and statsmodels: {time.perf_counter() - started:.1f} s")
    print(f"largest relative difference {worst:.1e}; {int(ranked.flagged.sum()):,} flagged")
    return int(took > SECONDS or peak > GIGABYTES or worst > CLOSE)


def _make(size: int, faults: int):  # type: ignore[no-untyped-def]
    """Return feet, wires, and for each fault its leg, its time and its place, from one seed."""
    random = np.random.default_rng(20260101)
    feet = random.lognormal(4.6, 0.6, size)
    wires = random.integers(1, 40, size)
    bad = random.gamma(0.8, 1.0, size) * feet
    at = random.choice(size, faults, p=bad / bad.sum())
    return feet, wires, at, random.random(faults) * YEARS + 1e-9, random.random(faults)


def _all_answers(feet, wires, at, when, where):  # type: ignore[no-untyped-def]
    """What the page shows of legs: ranking, trend and place of each, the curve of all."""
    counts = np.bincount(at, minlength=len(feet))
    pieces = [
        Piece(n, length * YEARS / 1000, length * YEARS / 1000 * wire, by_ground=count)
        for n, (length, wire, count) in enumerate(
            zip(feet.tolist(), wires.tolist(), counts.tolist(), strict=True)
        )
    ]
    ranked = rank(whole_legs(pieces))
    own: list[list[int]] = [[] for _ in feet]
    for fault, leg in enumerate(at.tolist()):
        own[leg].append(fault)
    times, places = np.minimum(when, YEARS).tolist(), where.tolist()
    histories = [History(tuple(times[fault] for fault in each), YEARS) for each in own]
    for history, each, length in zip(histories, own, feet.tolist(), strict=True):
        if len(each) >= 2:
            together([places[fault] * length for fault in each], length)
            trend_of([history])
    trend_of(histories)
    curve(np.minimum(when, YEARS), at, np.full(len(feet), YEARS))
    return ranked, histories


def _compare(ranked: Ranked, histories: list[History]) -> float:
    """Return the largest relative difference of any figure from the one by one."""
    legs, total = ranked.legs, ranked.located_total
    shares = ranked.expected / ranked.expected.sum()
    shape, exposure = ranked.prior.shape, ranked.prior.exposure
    worst, tails = 0.0, []
    for n, count in enumerate(legs.located.tolist()):
        low, high = confint_poisson(count, legs.ground[n], method="exact-c")
        tail = float(stats.binom.sf(count - 1, total, shares[n]))
        tails.append(tail)
        posterior = stats.gamma(shape + count, scale=1 / (exposure + ranked.expected[n]))
        wanted = [low, high, tail, posterior.mean(), *posterior.interval(0.95)]
        ours = [ranked.raw.low[n], ranked.raw.high[n], ranked.p[n]]
        ours += [ranked.ratio.mean[n], ranked.ratio.low[n], ranked.ratio.high[n]]
        worst = max(worst, _difference(ours, wanted))
        if len(histories[n].times) >= 2:
            one = trend_of([histories[n]])
            logs = np.log(np.array(histories[n].times) / histories[n].end)
            faster = stats.chi2.cdf(-2 * logs.sum(), 2 * len(logs))
            worst = max(worst, _difference([one.faster_p], [float(faster)]))
    return max(worst, _difference(list(ranked.q), list(multipletests(tails, method="fdr_bh")[1])))


def _difference(ours: list[float], theirs: list[float]) -> float:
    a, b = np.array(ours), np.nan_to_num(np.array(theirs))
    return float((np.abs(a - b) / np.maximum(np.abs(b), 1e-6)).max())


if __name__ == "__main__":
    sys.exit(main())
