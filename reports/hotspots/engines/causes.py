"""Shares of causes, with intervals that hold for all causes at once.

"Not known" is a cause like any other: left out, it would make the others look larger.

Source: Goodman (1965) for the simultaneous intervals; formulas from memory, values in tests.
"""

from collections.abc import Sequence

from reports.hotspots.engines.rates import LEVEL, Floats, Interval
from sites.kernel.lazily import lazily, np

stats = lazily("scipy.stats")


def simultaneous_shares(counts: Sequence[int], level: float = LEVEL) -> list[Interval]:
    """Return an interval for the share of each cause; all hold together at the level.

    Raises:
        ValueError: a count is negative, or nothing was counted.
    """
    found = np.asarray(counts, dtype=float)
    total = found.sum()
    if (found < 0).any() or total == 0:
        raise ValueError(f"Expected counts >= 0 and at least one fault, got {list(counts)}")
    return _shares(found, total, float(stats.chi2.ppf(1 - (1 - level) / len(found), 1)))


def _shares(found: Floats, total: float, b: float) -> list[Interval]:
    middle = b + 2 * found
    spread = np.sqrt(b * (b + 4 * found * (total - found) / total))
    low = np.maximum((middle - spread) / (2 * (b + total)), 0.0)
    high = np.minimum((middle + spread) / (2 * (b + total)), 1.0)
    return [Interval(float(a), float(z)) for a, z in zip(low, high, strict=True)]


def leader(counts: Sequence[int]) -> int | None:
    """Return the cause whose interval lies above all others', or None where none stands out."""
    if len(counts) < 2 or sum(counts) == 0:
        return None
    shares = simultaneous_shares(counts)
    first = max(range(len(counts)), key=lambda n: counts[n])
    others = [each for n, each in enumerate(shares) if n != first]
    return None if any(each.overlaps(shares[first]) for each in others) else first
