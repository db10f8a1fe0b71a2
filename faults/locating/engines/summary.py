"""A belief in feet and rounded bands."""

from dataclasses import dataclass

from faults.locating.engines.belief import Belief
from faults.locating.engines.line import JUST_BELOW
from sites.kernel.lazily import np


@dataclass(frozen=True)
class Feet:
    """Feet from the controller below which 5, 50 and 95 % of the mass in the wire lies."""

    low: float
    middle: float
    high: float


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
