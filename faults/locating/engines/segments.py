"""The segments that pairs of faults are made of: their places, masses, and chances of a reading."""

from dataclasses import dataclass, replace
from functools import cached_property

from faults.locating.engines.belief import BEHIND, Belief, Conductor, Outside
from faults.locating.engines.evidence import Likelihood
from faults.locating.engines.line import Bools, Floats, Ints, Line
from faults.locating.engines.mends import Mended
from faults.locating.engines.other_tests import CHECKS, Bypassed
from sites.kernel.lazily import np

CONDUCTORS = len(Conductor)


@dataclass(frozen=True)
class Segments:
    """The segments of a line: 3 for each leg, conductor by conductor; splices 1..n; the causes."""

    line: Line

    @cached_property
    def place(self) -> Ints:
        """Where each segment lies, in half steps from the controller: -1 is behind it, (s,)."""
        n = len(self.line.boxes)
        legs = np.tile(2 * np.arange(n + 1), CONDUCTORS)
        ends = [-1 if cause in BEHIND else 2 * n + 1 for cause in Outside]
        return np.concatenate([legs, 2 * np.arange(1, n + 1) - 1, ends])

    def of_leg(self, leg: int) -> list[int]:
        """Return the segments of a leg."""
        return [leg + i * len(self.line.legs) for i in range(CONDUCTORS)]

    def of_splice(self, box: int) -> list[int]:
        """Return the segment of a box's splice, as a list of one."""
        return [CONDUCTORS * len(self.line.legs) + box - 1]

    def mended(self, mended: Mended) -> Bools:
        """Return which segments a mend was at, (s,)."""
        here = np.zeros(len(self.place), dtype=bool)
        if mended.leg is not None:
            here[self.of_leg(mended.leg)] = True
        if mended.box is not None:
            here[self.of_splice(mended.box)] = True
        if mended.check is not None:
            here[len(here) - len(Outside) + list(Outside).index(CHECKS[mended.check])] = True
        return here

    def renewed(self, new: Bypassed) -> Bools:
        """Return which segments a new wire took out of use, (s,)."""
        here = np.zeros(len(self.place), dtype=bool)
        of_leg = self.of_leg(new.leg)
        is_common = new.conductor is Conductor.COMMON
        here[[of_leg[1]] if is_common else [of_leg[0], of_leg[2]]] = True
        return here

    def masses(self, belief: Belief) -> Floats:
        """Return the mass of each segment, (s,)."""
        legs = np.add.reduceat(belief.legs, self.line.first_cell, axis=1)
        outside = [belief.outside[cause] for cause in Outside]
        return np.concatenate([legs.ravel(), belief.splice[1:-1], outside])

    def chances(self, seen: Likelihood, base: Belief) -> Floats:
        """Return the chance of a reading in each segment, a mean over its places, (s,)."""
        legs = np.broadcast_to(seen.legs, base.legs.shape)
        first = self.line.first_cell
        mass = np.add.reduceat(base.legs, first, axis=1)
        sums = np.add.reduceat(base.legs * legs, first, axis=1)
        mean = np.where(mass > 0, sums / np.where(mass > 0, mass, 1.0), 0.0)
        outside = [seen.outside[cause] for cause in Outside]
        return np.concatenate([mean.ravel(), seen.splice[1:-1], outside])

    def spread(self, masses: Floats, shape: Belief, otherwise: Belief) -> Belief:
        """Return a belief with these masses; within a leg they lie as in `shape`.

        Where that has nothing on the leg they lie as in `otherwise`.
        """
        first, cells = self.line.first_cell, self.line.cell_leg
        count = len(self.line.legs)

        def shares(belief: Belief) -> tuple[Floats, Bools]:
            of = np.add.reduceat(belief.legs, first, axis=1)
            has = of > 0
            return belief.legs / np.where(has, of, 1.0)[:, cells], has[:, cells]

        own, has_own = shares(shape)
        other, _ = shares(otherwise)
        of_legs = masses[: CONDUCTORS * count].reshape(CONDUCTORS, count)[:, cells]
        splice = np.zeros(len(shape.splice))
        splice[1:-1] = masses[CONDUCTORS * count : -len(Outside)]
        ends = masses[-len(Outside) :]
        return replace(
            shape,
            legs=of_legs * np.where(has_own, own, other),
            splice=splice,
            outside={cause: float(ends[i]) for i, cause in enumerate(Outside)},
        )
