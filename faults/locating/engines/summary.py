"""A belief in words and rounded bands: legs, splices, causes, feet, and the likely set."""

from dataclasses import dataclass

import numpy as np

from faults.locating.engines.belief import Belief, Conductor, Outside
from faults.locating.engines.line import JUST_BELOW, Floats

COVERAGE = 0.90


@dataclass(frozen=True)
class Feet:
    """Feet from the controller below which 5, 50 and 95 % of the mass in the wire lies."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class LikelySet:
    """The fewest places that hold the coverage: cells, points, causes.

    The last place is in it only by a draw, so that over many searches the set holds the truth
    as often as it says, not more often. `feet` is the wire length in it.
    """

    cells: Floats
    points: Floats
    outside: frozenset[Outside]
    feet: float


@dataclass(frozen=True)
class Summary:
    """What is shown of a belief."""

    by_leg: Floats
    splice: Floats
    outside: dict[Outside, float]
    by_conductor: dict[Conductor, float]
    feet: Feet | None


def summary_of(belief: Belief) -> Summary:
    """Return what is shown; `feet` is None where the wire is all but ruled out."""
    return Summary(
        by_leg=belief.by_leg,
        splice=belief.splice,
        outside=dict(belief.outside),
        by_conductor={each: belief.of(each) for each in Conductor},
        feet=feet_of(belief),
    )


def feet_of(belief: Belief) -> Feet | None:
    """Return the 5, 50 and 95 % feet given that the fault lies in the wire."""
    mass = belief.in_the_wire
    if mass <= 1e-9:
        return None
    line = belief.line
    feet = np.concatenate([line.cell_ft, line.point_ft])
    weights = np.concatenate([belief.legs.sum(axis=0), belief.splice]) / mass
    order = np.argsort(feet, kind="stable")
    share = np.cumsum(weights[order])
    wanted = np.array([0.05, 0.5, 0.95]) * JUST_BELOW
    at = np.minimum(np.searchsorted(share, wanted), len(order) - 1)
    low, middle, high = feet[order][at]
    return Feet(float(low), float(middle), float(high))


def likely_set(belief: Belief, draw: float, *, coverage: float = COVERAGE) -> LikelySet:
    """Return the smallest set of places that holds the coverage.

    Args:
        draw: uniform in [0, 1): decides on the last place, so that coverage is exact.
    """
    line = belief.line
    cells = belief.legs.sum(axis=0)
    causes = list(belief.outside)
    mass = np.concatenate([cells, belief.splice, [belief.outside[cause] for cause in causes]])
    # Cells are compared by mass per foot with points and causes by mass: all are "places".
    order = np.argsort(-mass, kind="stable")
    before = np.cumsum(mass[order]) - mass[order]
    inside = before < coverage
    last = int(np.flatnonzero(inside)[-1])
    over = before[last] + mass[order[last]] - coverage
    if mass[order[last]] > 0 and draw < over / mass[order[last]]:
        inside[last] = False
    chosen = np.zeros(len(mass), dtype=bool)
    chosen[order[inside]] = True
    n_cells, n_points = len(cells), len(belief.splice)
    return LikelySet(
        cells=chosen[:n_cells].astype(float),
        points=chosen[n_cells : n_cells + n_points].astype(float),
        outside=frozenset(
            cause
            for cause, is_in in zip(causes, chosen[n_cells + n_points :], strict=True)
            if is_in
        ),
        feet=float((line.cell_length_ft * chosen[:n_cells]).sum()),
    )


BANDS = (0.02, 0.05, 0.10, 0.20, 0.35, 0.50, 0.75, 0.90)


def band(probability: float) -> float:
    """Return the rounded share that is shown for a probability: nobody reads 0.2374.

    Raises:
        ValueError: it lies outside 0..1.
    """
    if not 0 <= probability <= 1 + 1e-9:
        raise ValueError(f"Expected a probability 0..1, got {probability}")
    if probability < BANDS[0] / 2:
        return 0.0
    if probability > (1 + BANDS[-1]) / 2:
        return 1.0
    return min(BANDS, key=lambda each: abs(each - probability))
