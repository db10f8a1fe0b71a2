"""Walks with two probes that find where a leak enters the ground."""

from collections.abc import Iterator

from faults.locating.engines.actions import WalkGradient
from faults.locating.engines.costs import Prices
from faults.locating.engines.ground import Ground, most
from faults.locating.engines.line import JUST_BELOW, Bools, Floats, Ints
from faults.locating.engines.options import Option
from faults.locating.engines.other_tests import missed_by_probes
from sites.kernel.lazily import np

# A walk over less than this is not offered; so many are priced, the ones that find most.
LEAST_GRADIENT = 0.08 * JUST_BELOW
MOST_GRADIENTS = 12


class Gradients(Ground):
    """The gradient walks of a plan: over neighbouring legs, from either end."""

    def _gradients(self) -> Iterator[Option]:
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
        start, end = start[chosen], end[chosen]
        price = self._gradient_price(start, end, on_cells[chosen], on_points[chosen])
        for i in range(len(chosen)):
            there = float(self.terrain.walk_min[self.here, start[i] + 1])
            walk = float(self._walk_min(start[i : i + 1], end[i : i + 1])[0])
            yield Option(
                WalkGradient(int(start[i]), int(end[i])),
                self.minutes(float(price[i])),
                there + self.assumed.gradient_setup_min + walk,
                finds=float(chance[chosen[i]] / self.total),
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

    def _gradient_price(self, start: Ints, end: Ints, on_cells: Bools, on_points: Bools) -> Floats:
        per_ft = self.k * self.assumed.gradient_min_per_100_ft / 100
        cells, splice = self._shown()
        from_ft = self.line.point_ft[start][:, None]
        found = (on_cells * cells * np.exp(per_ft * np.abs(self.line.cell_ft - from_ft))).sum(
            axis=1
        )
        found += (on_points * splice * np.exp(per_ft * np.abs(self.line.point_ft - from_ft))).sum(
            axis=1
        )
        outer = np.repeat(self.outer(self.belief)[None], len(start), axis=0)
        outer[:, 1:-1] -= on_points * splice
        left = self.belief.legs.sum(axis=0) - on_cells * cells
        masses = self.masses(left, self.belief, outer)
        rest = Prices(self.terrain, masses).from_point(end + 1)
        full = np.exp(self.k * self._walk_min(start, end))
        setup = np.exp(self.k * self.assumed.gradient_setup_min)
        result: Floats = self.terrain.walk[self.here, start + 1] * setup * (found + full * rest)
        return result
