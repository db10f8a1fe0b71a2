"""How often hotspots are claimed where there are none, and found where there are some.

Registers of legs are made up with known rates, a few of them hot, and put through the same
ranking that the page uses. One shape of exposure and no effect of cause or age: a check of the
method, not of any real ground.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from reports.hotspots.engines.hotspots import rank
from reports.hotspots.engines.prior import NothingToFit
from reports.hotspots.engines.wholes import Piece, whole_legs

LEGS = 200
HOT = 10
SPREAD_OF_EXPOSURE = 0.6
SHARES = (0.05, 0.10, 0.20)


@dataclass(frozen=True, slots=True)
class World:
    """Legs that fail at an ordinary rate, and a few at a hot one; equal rates: none is hot."""

    name: str
    ordinary: float
    hot: float

    @property
    def hot_legs(self) -> int:
        """How many legs are hot."""
        return HOT if self.hot != self.ordinary else 0


WORLDS = (
    World("none hot, rate 0.5", 0.5, 0.5),
    World("none hot, rate 0.2", 0.2, 0.2),
    World("2.5 against 0.4", 0.4, 2.5),
    World("1.2 against 0.4", 0.4, 1.2),
    World("1.5 against 0.2", 0.2, 1.5),
)


@dataclass(frozen=True, slots=True)
class Outcome:
    """Means over runs. `false_flags` and `found` are by allowed share of false flags.

    `first_ten` is how many of the ten legs on top are hot, by count, raw and shrunken rate.
    """

    world: World
    runs: int
    largest_count: float
    false_flags: tuple[float, ...]
    found: tuple[float, ...]
    two_or_more: float
    first_ten: tuple[float, float, float]


def simulate(world: World, *, runs: int, random: np.random.Generator) -> Outcome:
    """Return what the ranking made of so many registers of this world."""
    lines = [line for _ in range(runs) if (line := _run(world, random)) is not None]
    means = np.array(lines).mean(axis=0) if lines else np.zeros(11)
    largest = float(np.median([line[0] for line in lines])) if lines else 0.0
    return Outcome(
        world,
        runs,
        largest,
        tuple(float(each) for each in means[1:4]),
        tuple(float(each) for each in means[4:7]),
        float(means[7]),
        (float(means[8]), float(means[9]), float(means[10])),
    )


def _run(world: World, random: np.random.Generator) -> list[float] | None:
    exposure = random.lognormal(0.0, SPREAD_OF_EXPOSURE, LEGS)
    is_hot = random.permutation(LEGS) < world.hot_legs
    counts = random.poisson(np.where(is_hot, world.hot, world.ordinary) * exposure)
    pieces = [
        Piece(n, float(feet), float(feet), by_ground=int(count))
        for n, (feet, count) in enumerate(zip(exposure, counts, strict=True))
    ]
    try:
        found = rank(whole_legs(pieces))
    except NothingToFit:
        return None
    by_rank = np.empty(LEGS)
    by_rank[list(found.order)] = -np.arange(LEGS)
    flagged = [found.q < share for share in SHARES]
    return [
        float(counts.max()),
        *(float((flags & ~is_hot).sum()) for flags in flagged),
        *(float((flags & is_hot).sum()) for flags in flagged),
        float(((counts >= 2) & ~is_hot).sum()),
        *(_on_top(each, is_hot) for each in (counts.astype(float), counts / exposure, by_rank)),
    ]


def _on_top(values: ArrayLike, is_hot: "np.ndarray[tuple[int, ...], np.dtype[np.bool_]]") -> float:
    first = np.argsort(-np.asarray(values), kind="stable")[:HOT]
    return float(is_hot[first].sum()) / HOT


def simulate_all(worlds: Sequence[World] = WORLDS, *, runs: int, seed: int) -> list[Outcome]:
    """Return the outcome of each world, each from a stream of its own."""
    streams = np.random.default_rng(seed).spawn(len(worlds))
    return [
        simulate(world, runs=runs, random=stream)
        for world, stream in zip(worlds, streams, strict=True)
    ]
