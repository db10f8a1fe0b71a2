"""How readings change a belief. Each kind of reading is a frozen dataclass with `likelihood`.

Source: Bayes' rule; the error rates are assumptions (see `assumptions`).
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Protocol

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Belief, Outside
from faults.locating.engines.line import Floats, Line


class UnusableReading(ValueError):
    """A reading that cannot be; the message says what was expected."""


@dataclass(frozen=True)
class Likelihood:
    """Chance of a reading: (cells,) or (3, cells) for legs, (n + 2,) for splices, by cause."""

    legs: Floats
    splice: Floats
    outside: Mapping[Outside, float]


class Reading(Protocol):
    """One test and what it said."""

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """Return the chance of this result under each hypothesis."""


def weighed(belief: Belief, reading: Reading, assumed: Assumptions) -> Belief:
    """Return each hypothesis times the chance of the reading under it, not scaled to 1."""
    return weighed_by(belief, reading.likelihood(belief.line, assumed))


def weighed_by(belief: Belief, seen: Likelihood) -> Belief:
    """Return each hypothesis times its chance, not scaled to 1."""
    return replace(
        belief,
        legs=belief.legs * seen.legs,
        splice=belief.splice * seen.splice,
        outside={cause: mass * seen.outside[cause] for cause, mass in belief.outside.items()},
    )


def everywhere(chance: float) -> dict[Outside, float]:
    """Return the same chance for each cause outside the wire."""
    return dict.fromkeys(Outside, chance)
