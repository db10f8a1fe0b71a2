"""Faults close together: on one leg, and on neighbouring legs.

Source: Naus (1965) for faults within a window of one leg; Kulldorff (1997) for the likelihood
ratio of a cluster. Formulas from memory, values in tests.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from typing import Any

from reports.hotspots.engines.rates import Floats
from sites.kernel.lazily import lazily, np

sparse = lazily("scipy.sparse")

MOST_IN_WINDOW = 12
SIMULATED_AT_ONCE = 100


def chance_within(count: int, share: float) -> float:
    """Return how often `count` faults, placed by chance, all lie within a share of the leg.

    Raises:
        ValueError: fewer than two faults, or a share outside 0..1.
    """
    if count < 2 or not 0 <= share <= 1:
        raise ValueError(f"Expected count >= 2 and 0 <= share <= 1, got {count} and {share}")
    return float(count * share ** (count - 1) - (count - 1) * share**count)


@dataclass(frozen=True, slots=True)
class Together:
    """All located faults of a leg lie between two places, in feet from its first point."""

    count: int
    from_ft: float
    to_ft: float
    length_ft: float
    chance: float


def together(places_ft: Sequence[float], length_ft: float) -> Together | None:
    """Return how narrowly the faults of one leg lie together; None below two places."""
    if len(places_ft) < 2 or not length_ft > 0:
        return None
    first, last = min(places_ft), max(places_ft)
    share = min((last - first) / length_ft, 1.0)
    return Together(len(places_ft), first, last, length_ft, chance_within(len(places_ft), share))


@dataclass(frozen=True, slots=True)
class Link:
    """Two neighbouring legs and the feet between their middles."""

    first: int
    second: int
    feet: float


@dataclass(frozen=True, slots=True)
class Cluster:
    """Neighbouring legs that have more faults together than chance makes.

    `p` counts simulated registers, this one among them, whose best cluster is as strong.
    """

    legs: tuple[int, ...]
    count: float
    expected: float
    log_ratio: float
    p: float


def log_ratio(count: Floats, expected: Floats, total: float) -> Floats:
    """Return the log likelihood ratio of a cluster; 0 where it has no more than expected."""
    rest, rest_expected = total - count, total - expected
    with np.errstate(divide="ignore", invalid="ignore"):
        inside = np.where(count > 0, count * np.log(count / expected), 0.0)
        outside = np.where(rest > 0, rest * np.log(rest / rest_expected), 0.0)
    found: Floats = np.where(count > expected, inside + outside, 0.0)
    return found


def windows(size: int, links: Sequence[Link], most: int = MOST_IN_WINDOW) -> list[tuple[int, ...]]:
    """Return sets of neighbouring legs: from each leg its nearest by feet along the network.

    One leg alone is a window too; each set is given once.
    """
    near: list[list[tuple[int, float]]] = [[] for _ in range(size)]
    for link in links:
        near[link.first].append((link.second, link.feet))
        near[link.second].append((link.first, link.feet))
    found: dict[tuple[int, ...], None] = {}
    for start in range(size):
        reached: list[int] = []
        waiting, seen = [(0.0, start)], {start: 0.0}
        while waiting and len(reached) < most:
            feet, here = heappop(waiting)
            if here in reached:
                continue
            reached.append(here)
            found[tuple(sorted(reached))] = None
            for there, more in near[here]:
                if feet + more < seen.get(there, float("inf")):
                    seen[there] = feet + more
                    heappush(waiting, (feet + more, there))
    return list(found)


def strongest_cluster(
    counts: Sequence[int],
    expected: Sequence[float],
    sets: Sequence[tuple[int, ...]],
    *,
    random: "np.random.Generator",
    simulated: int = 999,
    largest_share: float = 0.5,
) -> Cluster | None:
    """Return the set of legs least likely by chance, with its simulated p; None without faults.

    Args:
        largest_share: sets that should have had more than this share of all faults are left out.
    """
    found = np.asarray(counts, dtype=float)
    means = np.asarray(expected, dtype=float)
    total = float(found.sum())
    if total == 0 or means.sum() == 0:
        return None
    shares = means / means.sum()
    inside = _membership(sets, len(found))
    wanted = inside @ shares * total
    inside, wanted = (
        inside[wanted <= largest_share * total],
        wanted[wanted <= largest_share * total],
    )
    if not inside.shape[0]:
        return None
    ratios = log_ratio(inside @ found, wanted, total)
    best = int(ratios.argmax())
    if ratios[best] <= 0:
        return None
    as_strong = 1
    for start in range(0, simulated, SIMULATED_AT_ONCE):
        size = min(SIMULATED_AT_ONCE, simulated - start)
        drawn = random.multinomial(int(total), shares, size=size).T
        strongest = log_ratio(inside @ drawn, wanted[:, None], total).max(axis=0)
        as_strong += int((strongest >= ratios[best] - 1e-12).sum())
    legs = tuple(int(leg) for leg in inside[[best]].indices)
    return Cluster(
        tuple(sorted(legs)),
        float((inside @ found)[best]),
        float(wanted[best]),
        float(ratios[best]),
        as_strong / (simulated + 1),
    )


def _membership(sets: Sequence[tuple[int, ...]], size: int) -> Any:
    rows = np.repeat(np.arange(len(sets)), [len(each) for each in sets])
    columns = np.concatenate([np.array(each) for each in sets]) if sets else np.zeros(0, int)
    return sparse.csr_array((np.ones(len(rows)), (rows, columns)), shape=(len(sets), size))
