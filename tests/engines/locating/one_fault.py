"""The belief of one fault alone: what the published values and the laws are about."""

from collections.abc import Iterable

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Belief
from faults.locating.engines.evidence import Reading, weighed


def update(belief: Belief, reading: Reading, assumed: Assumptions) -> Belief:
    """Return the belief after a reading.

    Raises:
        Contradiction: no explanation is left.
    """
    return weighed(belief, reading, assumed).scaled()


def after_all(belief: Belief, readings: Iterable[Reading], assumed: Assumptions) -> Belief:
    """Return the belief after several readings."""
    for reading in readings:
        belief = update(belief, reading, assumed)
    return belief


def chance_of(belief: Belief, reading: Reading, assumed: Assumptions) -> float:
    """Return how likely this result was before it was seen."""
    return weighed(belief, reading, assumed).total
