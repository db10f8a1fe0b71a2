"""Walks with two probes that find where a leak enters the ground."""

from collections.abc import Iterator

from faults.locating.engines.actions import WalkGradient
from faults.locating.engines.costs import Masses
from faults.locating.engines.ground import Asked, Ground, most
from faults.locating.engines.line import JUST_BELOW, Bools, Floats, Ints
from faults.locating.engines.options import Option
from faults.locating.engines.other_tests import missed_by_probes
from sites.kernel.lazily import np

# A walk over less than this is not offered; so many are priced, the ones that find most.
LEAST_GRADIENT = 0.08 * JUST_BELOW
MOST_GRADIENTS = 12


class Gradients(Ground):
    """The gradient walks of a plan: over neighbouring legs, from either end."""

    def _gradients(self) -> Iterator[Asked]:
        if not self.tools.gradient:
            return
        points = np.arange(len(self.line.point_ft))
        start, end = (each.ravel() for each in np.meshgrid(points, points, indexing="ij"))
        on_cells, on_points = self._on_way(start, end)
        cells, splice = self._shown()
        chance = (on_cells * cells).sum(axis=1) + (on_points * splice).sum(axis=1)
        worth = np.where(chance / self.total >= LEAST_GRADIENT, chance, 0.0)
        worth = worth / (self.assumed.gradient_setup_min + self._walk_min(start, end) + 1)
        chosen = np.flatnonzero((worth > 0) & most(worth, MOST_GRADIENTS))
        if not len(chosen):
            return
        start, end, finds = start[chosen], end[chosen], chance[chosen] / self.total
        on_way = on_cells[chosen], on_points[chosen]
        found = self._found_by_probes(start, *on_way)

        def told(rest: Floats) -> Iterator[Option]:
            return self._walked_with_probes(start, end, finds, found, rest)

        yield Asked(self._left_by_probes(*on_way), end + 1, told)

    def _walked_with_probes(
        self, start: Ints, end: Ints, finds: Floats, found: Floats, rest: Floats
    ) -> Iterator[Option]:
        full = np.exp(self.k * self._walk_min(start, end))
        setup = np.exp(self.k * self.assumed.gradient_setup_min)
        price = self.terrain.walk[self.here, start + 1] * setup * (found + full * rest)
        for i in range(len(start)):
            there = float(self.terrain.walk_min[self.here, start[i] + 1])
            walk = float(self._walk_min(start[i : i + 1], end[i : i + 1])[0])
            yield Option(
                WalkGradient(int(start[i]), int(end[i])),
                self.minutes(float(price[i])),
                there + self.assumed.gradient_setup_min + walk,
                finds=float(finds[i]),
            )

    def _shown(self) -> tuple[Floats, Floats]:
        """The mass of each cell and point that the next walk would show."""
        legs, points = missed_by_probes(self.line, self.belief.walked, self.assumed)
        cells = self.belief.legs.sum(axis=0) * (1 - legs)[self.line.cell_leg]
        return cells, self.belief.splice * (1 - points)

    def _on_way(self, start: Ints, end: Ints) -> tuple[Bools, Bools]:
        """Which cells and which points lie on each walk; none on a walk that goes nowhere."""
        low, high = np.minimum(start, end)[:, None], np.maximum(start, end)[:, None]
        points = np.arange(len(self.line.point_ft))
        on_cells = (self.line.cell_leg >= low) & (self.line.cell_leg < high)
        return on_cells, (points >= low) & (points <= high) & (low < high)

    def _walk_min(self, start: Ints, end: Ints) -> Floats:
        feet = np.abs(self.line.point_ft[end] - self.line.point_ft[start])
        result: Floats = feet / 100 * self.assumed.gradient_min_per_100_ft
        return result

    def _found_by_probes(self, start: Ints, on_cells: Bools, on_points: Bools) -> Floats:
        """Sum of mass x dislike of reaching it by each walk."""
        per_ft = self.k * self.assumed.gradient_min_per_100_ft / 100
        cells, splice = self._shown()
        from_ft = self.line.point_ft[start][:, None]
        found = (on_cells * cells * np.exp(per_ft * np.abs(self.line.cell_ft - from_ft))).sum(
            axis=1
        )
        found += (on_points * splice * np.exp(per_ft * np.abs(self.line.point_ft - from_ft))).sum(
            axis=1
        )
        result: Floats = found
        return result

    def _left_by_probes(self, on_cells: Bools, on_points: Bools) -> Masses:
        """What is left of the belief when each of these walks found nothing."""
        cells, splice = self._shown()
        outer = np.repeat(self.outer(self.belief)[None], len(on_cells), axis=0)
        outer[:, 1:-2] -= on_points * splice
        left = self.belief.legs.sum(axis=0) - on_cells * cells
        return self.masses(left, self.belief, outer)
