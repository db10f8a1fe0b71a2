"""How long something lasts, where some times still go on and some were first seen late.

The share that still lasts is the product-limit estimate (Kaplan and Meier 1958), with its limits
on the log-log scale, as lifelines has them. A time that was first seen late counts among those
that could end only from then on: its earlier days would never have been seen had it ended in them.
What ended how is by Aalen and Johansen (1978), on the same counts, so that all shares and what
still lasts make up 1; "1 less the share of one ending alone" would make up more.

The mean of those that are over is too short, and the age of those that go on too long: neither is
here. Where half are not over yet, there is no middle, but a mean to a stated day.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

from sites.kernel.lazily import lazily, np

lifelines = lazily("lifelines")
stats = lazily("scipy.stats")

# Fewer at risk let one ending fell the whole curve.
LEAST_AT_RISK = 5
LEVEL = 0.95


@dataclass(frozen=True, slots=True)
class Lasted:
    """One time, in days from its start: seen from `entry` until `exit`.

    `end` says how it ended; None where it goes on.

    Raises:
        ValueError: it was not seen for any time.
    """

    entry: float
    exit: float
    end: str | None = None

    def __post_init__(self) -> None:
        if not 0 <= self.entry < self.exit:
            raise ValueError(f"Expected 0 <= entry < exit, got {self.entry} to {self.exit}")


@dataclass(frozen=True, slots=True)
class Step:
    """What holds from the day of an ending on: `share` still lasts, between `low` and `high`."""

    day: float
    at_risk: int
    ended: int
    share: float
    low: float
    high: float


@dataclass(frozen=True)
class Curve:
    """How long it lasts.

    `from_day`: all is said of those that lasted until then; 0 where enough were seen from the
    start. `until` is the last day that anyone was seen. Days are None where that share of endings
    is not reached. `mean` is the mean to `horizon`, with its standard error.
    """

    times: int
    from_day: float
    until: float
    steps: tuple[Step, ...]
    median: float | None
    median_low: float | None
    median_high: float | None
    horizon: float
    mean: float
    mean_se: float
    endings: Mapping[str, tuple[tuple[float, float], ...]]

    @property
    def ended(self) -> int:
        """How many are over."""
        return sum(step.ended for step in self.steps)

    def share_at(self, day: float) -> float:
        """Return which share lasts longer than this day."""
        return next((step.share for step in reversed(self.steps) if step.day <= day), 1.0)


class _Seen:
    """Times as sorted days, so that those at risk are counted without going through all."""

    def __init__(self, rows: Sequence[Lasted], start: float = 0.0) -> None:
        rows = [row for row in rows if row.exit > start]
        self.entry = np.array([max(row.entry, start) for row in rows], float)
        self.exit = np.array([row.exit for row in rows], float)
        self.over = np.array([row.end is not None for row in rows], bool)
        self._entries, self._exits = np.sort(self.entry), np.sort(self.exit)
        self._ends = np.sort(self.exit[self.over])

    @property
    def days(self) -> "np.ndarray":
        """The days on which any ended."""
        return np.unique(self._ends)

    def at_risk(self, days: "np.ndarray") -> "np.ndarray":
        """How many could end on each day: seen before it, and not over before it."""
        return np.searchsorted(self._entries, days) - np.searchsorted(self._exits, days)

    def after(self, days: "np.ndarray") -> "np.ndarray":
        """How many are seen right after each day."""
        return np.searchsorted(self._entries, days, "right") - np.searchsorted(
            self._exits, days, "right"
        )

    def ended(self, days: "np.ndarray") -> "np.ndarray":
        """How many ended on each day."""
        return np.searchsorted(self._ends, days, "right") - np.searchsorted(self._ends, days)


def starts_at(rows: Sequence[Lasted], least: int = LEAST_AT_RISK) -> float | None:
    """Return the first day from which a curve can be drawn; None where there is none.

    From it on enough are at risk, and never do all of them end while others are seen only later:
    such a curve would be 0 for ever.
    """
    if not rows:
        return None
    seen = _Seen(rows)
    days = seen.days
    falls = days[(seen.ended(days) == seen.at_risk(days)) & (days < seen.exit.max())]
    fallen = float(falls.max()) if len(falls) else 0.0
    starts = np.unique(np.append(seen.entry[seen.entry >= fallen], fallen))
    enough = starts[seen.after(starts) >= least]
    return float(enough[0]) if len(enough) else None


def curve(rows: Sequence[Lasted], *, horizon: float, least: int = LEAST_AT_RISK) -> Curve | None:
    """Return how long it lasts; None where too few were seen at once to say.

    Args:
        horizon: of the mean, in days; where nobody was seen so long, the last day that anyone was.
        least: so many have to be at risk at the start.
    """
    start = starts_at(rows, least)
    if start is None:
        return None
    seen = _Seen(rows, start)
    steps = tuple(_steps(seen))
    until = float(seen.exit.max())
    to = max(start, min(horizon, until))
    mean, se = _mean(steps, start, to)
    return Curve(
        times=len(seen.exit),
        from_day=start,
        until=until,
        steps=steps,
        median=_first(steps, "share"),
        median_low=_first(steps, "low"),
        median_high=_first(steps, "high"),
        horizon=to,
        mean=mean,
        mean_se=se,
        endings=_endings(steps, [row for row in rows if row.exit > start]),
    )


def _steps(seen: _Seen) -> list[Step]:
    ends = seen.days
    if not len(ends):
        return []
    fitter = lifelines.KaplanMeierFitter(alpha=1 - LEVEL)
    fitter.fit(seen.exit, seen.over, entry=seen.entry)
    shares = fitter.survival_function_at_times(ends).to_numpy()
    # Where nothing lasts longer the log-log scale has no limits: 0 is all that is known.
    low, high = np.nan_to_num(fitter.confidence_interval_.loc[ends].to_numpy()).T
    columns = (ends, seen.at_risk(ends), seen.ended(ends), shares, low, high)
    return [Step(*line) for line in zip(*(each.tolist() for each in columns), strict=True)]


def _first(steps: Sequence[Step], name: str) -> float | None:
    """Return the first day on which half are over."""
    return next((step.day for step in steps if getattr(step, name) <= 0.5 + 1e-12), None)


def _mean(steps: Sequence[Step], start: float, to: float) -> tuple[float, float]:
    """Return the mean to a day and its standard error: areas below the curve, by Greenwood."""
    inside = [step for step in steps if step.day <= to]
    edges = [start, *(step.day for step in inside), to]
    shares = [1.0, *(step.share for step in inside)]
    areas = [shares[n] * (edges[n + 1] - edges[n]) for n in range(len(shares))]
    variance = 0.0
    for n, step in enumerate(inside):
        if step.at_risk > step.ended:
            left = sum(areas[n + 1 :])
            variance += left**2 * step.ended / (step.at_risk * (step.at_risk - step.ended))
    return start + sum(areas), sqrt(variance)


def _endings(
    steps: Sequence[Step], rows: Sequence[Lasted]
) -> dict[str, tuple[tuple[float, float], ...]]:
    """Return for each way to end which share has ended so by which day."""
    days: dict[str, Counter[float]] = {}
    for row in rows:
        if row.end is not None:
            days.setdefault(row.end, Counter())[row.exit] += 1
    found = {}
    for name in sorted(days):
        line, share, before = [], 0.0, 1.0
        for step in steps:
            if ended := days[name][step.day]:
                share += before * ended / step.at_risk
                line.append((step.day, share))
            before = step.share
        found[name] = tuple(line)
    return found


@dataclass(frozen=True)
class Compared:
    """Whether groups differ by more than chance: `chance` is how often chance alone does so much.

    `ended` and `expected` are the endings of each group, and those that it would have had if all
    were alike.
    """

    ended: tuple[float, ...]
    expected: tuple[float, ...]
    statistic: float
    chance: float


def compare(groups: Sequence[Sequence[Lasted]]) -> Compared | None:
    """Compare groups by the log-rank test, late entry counted; None where nothing can be said.

    At each ending the number in each group is hypergeometric. The statistic is that of the
    variance (Mantel), not the sum of (O-E)²/E, which is smaller.
    """
    if len(groups) < 2:
        return None
    seen = [_Seen(group) for group in groups]
    days = np.unique(np.concatenate([each.days for each in seen]))
    risks = np.array([each.at_risk(days) for each in seen], float)
    overs = np.array([each.ended(days) for each in seen], float)
    variance = np.zeros((len(groups), len(groups)))
    for risk, over in zip(risks.T, overs.T, strict=True):
        whole, all_over = risk.sum(), over.sum()
        if whole > 1:
            share, factor = risk / whole, all_over * (whole - all_over) / (whole - 1)
            variance += factor * (np.diag(share) - np.outer(share, share))
    ended, expected = overs.sum(1), (risks / risks.sum(0) * overs.sum(0)).sum(1)
    rank = int(np.linalg.matrix_rank(variance))
    if not rank:
        return None
    off = ended - expected
    statistic = float(off @ np.linalg.pinv(variance) @ off)
    return Compared(
        tuple(ended.tolist()),
        tuple(expected.tolist()),
        statistic,
        float(stats.chi2.sf(statistic, rank)),
    )
