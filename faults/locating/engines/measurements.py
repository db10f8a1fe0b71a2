"""Measurements at an end: a distance by its results at even steps of their chance, and ohms."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from faults.locating.engines.actions import ReadDistance, ReadOhms
from faults.locating.engines.evidence import Likelihood
from faults.locating.engines.ground import Asked, Ground
from faults.locating.engines.line import JUST_BELOW, Floats
from faults.locating.engines.options import Option
from faults.locating.engines.other_tests import Distance
from faults.locating.engines.seen import Ohms, OhmsRead
from sites.kernel.lazily import np

DISTANCE_RESULTS = 7


class Measurements(Ground):
    """The measurements of a plan."""

    def _ohms(self) -> Iterator[Asked]:
        """Ohms of wire, coil and common at the controller: each result with what it leaves."""
        if not self.tools.ohms:
            return
        own = self.assumed.read_ohms_min + float(self.terrain.walk_min[self.here, 1])
        results = [OhmsRead(ohms) for ohms in Ohms]

        def told(after: Floats) -> Iterator[Option]:
            price = float(after.sum()) * float(np.exp(self.k * own))
            yield Option(ReadOhms(), self.minutes(price), own)

        yield self.after(results, np.full(len(results), 1), told)

    def _distances(self) -> Iterator[Asked]:
        if self.tools.distance_at_controller:
            yield self._distance(from_valve=False)
        if self.tools.distance_at_valve:
            yield self._distance(from_valve=True)

    def _distance(self, *, from_valve: bool) -> Asked:
        """Price a reading by its results at even steps of their chance."""
        at = self.valve if from_valve else 1
        results = [self._seen(feet, from_valve) for feet in self._likely_feet(from_valve)]
        cells = np.stack([cells for cells, _ in results])
        outer = np.stack([outer for _, outer in results])
        scale = self.total / (cells.sum(axis=1) + outer.sum(axis=1))
        masses = self.masses(cells * scale[:, None], self.belief, outer * scale[:, None])
        own = self.assumed.distance_min + float(self.terrain.walk_min[self.here, at])

        def told(after: Floats) -> Iterator[Option]:
            price = float(after.mean()) * float(np.exp(self.k * own))
            yield Option(ReadDistance(from_valve), self.minutes(price), own)

        return Asked(masses, np.full(len(results), at), told)

    def _likely_feet(self, from_valve: bool) -> Sequence[float]:
        feet = np.concatenate([self.line.cell_ft, self.line.point_ft])
        mass = np.concatenate([self.belief.legs.sum(axis=0), self.belief.splice])
        order = np.argsort(feet)
        share = np.cumsum(mass[order])
        wanted = (np.arange(DISTANCE_RESULTS) + 0.5) / DISTANCE_RESULTS * share[-1]
        chosen = feet[order][np.minimum(np.searchsorted(share, wanted * JUST_BELOW), len(feet) - 1)]
        return [float(self.line.length_ft - ft if from_valve else ft) for ft in chosen]

    def _seen(self, feet: float, from_valve: bool) -> tuple[Floats, Floats]:
        seen: Likelihood = Distance(feet, from_valve).likelihood(self.line, self.assumed)
        after = replace(
            self.belief,
            legs=self.belief.legs * seen.legs,
            splice=self.belief.splice * seen.splice,
            outside={c: m * seen.outside[c] for c, m in self.belief.outside.items()},
        )
        return after.legs.sum(axis=0), self.outer(after)
