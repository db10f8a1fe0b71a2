"""Legs as they were before any was split: exposures, faults, and how many were to be expected.

Ground causes (a shovel, a rodent) go by feet of ground and years, wire causes (a bad splice,
corrosion) by feet of wire and years.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from reports.hotspots.engines.rates import Floats
from sites.kernel.lazily import np


@dataclass(frozen=True, slots=True)
class Piece:
    """A leg as observed: what it is a part of, its exposures and its faults.

    Exposures are in 1000-foot-years: of ground, and of all wires in it. `spread` is its share of
    faults that were never located; `by_ground` and `by_wire` are faults located on it.

    Raises:
        ValueError: a number is negative.
    """

    whole: int
    ground: float
    wire: float
    by_ground: int = 0
    by_wire: int = 0
    spread: float = 0.0

    def __post_init__(self) -> None:
        for name in ("ground", "wire", "by_ground", "by_wire", "spread"):
            if getattr(self, name) < 0:
                raise ValueError(f"Expected {name} >= 0, got {getattr(self, name)}")


@dataclass(frozen=True, slots=True)
class Wholes:
    """Legs as they were before any was split, so that a split leaves every answer as it was."""

    keys: tuple[int, ...]
    ground: Floats
    wire: Floats
    by_ground: Floats
    by_wire: Floats
    spread: Floats

    @property
    def located(self) -> Floats:
        """Faults located on each: whole counts, for tests."""
        return self.by_ground + self.by_wire

    @property
    def counted(self) -> Floats:
        """Faults of each with its share of those never located: for shown rates."""
        return self.located + self.spread


def whole_legs(pieces: Sequence[Piece]) -> Wholes:
    """Put the parts of split legs together again, in order of first appearance."""
    places: dict[int, int] = {}
    at = np.array([places.setdefault(piece.whole, len(places)) for piece in pieces], dtype=int)
    size = len(places)

    def total(values: list[float]) -> Floats:
        return np.bincount(at, np.array(values, dtype=float), size).astype(np.float64)

    return Wholes(
        tuple(places),
        total([piece.ground for piece in pieces]),
        total([piece.wire for piece in pieces]),
        total([float(piece.by_ground) for piece in pieces]),
        total([float(piece.by_wire) for piece in pieces]),
        total([piece.spread for piece in pieces]),
    )


def expected_counts(legs: Wholes, *, at_rates_of: Wholes | None = None) -> Floats:
    """Return how many located faults each leg should have had if all were alike.

    Args:
        at_rates_of: whose rates each foot and year has; None = those of these very legs.
    """
    by_ground, by_wire = _rates(at_rates_of or legs)
    expected: Floats = by_ground * legs.ground + by_wire * legs.wire
    return expected


def rated_counts(legs: Wholes, others: Wholes) -> Floats:
    """Return the located faults of causes for which others give a rate, so that one is expected."""
    by_ground, by_wire = _rates(others)
    counts: Floats = legs.by_ground * (by_ground > 0) + legs.by_wire * (by_wire > 0)
    return counts


def _rates(legs: Wholes) -> tuple[float, float]:
    """Return faults of ground causes per exposure of ground, and of wire causes of wire."""
    pairs = ((legs.by_ground, legs.ground), (legs.by_wire, legs.wire))
    by_ground, by_wire = (
        float(found.sum() / exposure.sum()) if exposure.sum() > 0 else 0.0
        for found, exposure in pairs
    )
    return by_ground, by_wire
