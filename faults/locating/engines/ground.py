"""A belief on its terrain: its masses, its prices, and minutes from prices."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import BEHIND, IN_VALVE_BOX, Belief, Conductor, Outside
from faults.locating.engines.costs import Masses, Prices, joined
from faults.locating.engines.evidence import Reading, weighed
from faults.locating.engines.line import JUST_BELOW, Bools, Floats, Ints, Joint
from faults.locating.engines.options import Option, Stand, Tools
from faults.locating.engines.tones import missed_on_legs
from faults.locating.engines.ways import terrain_of
from sites.kernel.lazily import np

# What is left of a tone's use after many walks in vain: a price needs some.
LEAST_DETECTS = 0.05


def most(values: Floats, count: int) -> Bools:
    """Return which values are among the greatest so many; those equal to the last are too."""
    if len(values) <= count:
        return np.ones(len(values), dtype=bool)
    result: Bools = values >= np.sort(values)[-count] * JUST_BELOW
    return result


@dataclass(frozen=True)
class Asked:
    """Beliefs whose prices are asked for, each from a point of its own, and what they are for.

    All that a plan asks is priced at once: many small batches take far longer.
    """

    masses: Masses
    at: Ints
    options: Callable[[Floats], Iterable[Option]]


class Ground:
    """What every action is priced on."""

    def __init__(self, belief: Belief, stand: Stand, tools: Tools, assumed: Assumptions) -> None:
        self.belief, self.stand, self.tools, self.assumed = belief, stand, tools, assumed
        self.line = belief.line
        is_fed = stand.feeds_hot_at_controller
        self.terrain = terrain_of(self.line, assumed, tools, is_fed=is_fed)
        if belief.walked:
            self.terrain = replace(self.terrain, detects=self._still_detects())
        self.k = assumed.dislike_per_min
        self.here = stand.at + 1
        self.valve = len(self.line.boxes) + 2
        self.prices = Prices(self.terrain, self.masses(belief.legs.sum(axis=0)[None], belief))

    def _still_detects(self) -> float:
        """How much of the wire's mass the next tone shows: less, where walks have missed it."""
        line, belief = self.line, self.belief
        missed = missed_on_legs(line, belief.walked, Conductor.HOT, self.assumed)
        of_legs = belief.by_leg
        mass = float(of_legs.sum())
        if not mass > 0:
            return self.assumed.tone_detects
        return max(LEAST_DETECTS, 1 - float((of_legs * missed).sum()) / mass)

    def reach_min(self, point: int) -> float:
        """Minutes to lay the wire bare at a point; endless where it would have to be cut."""
        if not 1 <= point <= len(self.line.boxes):
            return self.assumed.repeat_min
        box = self.line.boxes[point - 1]
        # In an open box its ends are at hand: to clip on is part of any set-up.
        opening = 0.0 if self.stand.in_box == point else box.open_min
        if box.joint is Joint.SPLICED:
            return opening
        cut = self.assumed.cut_uncut_min + self.assumed.lasting_splice_min
        return opening + cut if self.tools.may_cut else float("inf")

    @cached_property
    def settle(self) -> float:
        """Dislike of settling what is wrong at an end."""
        return float(np.exp(self.k * self.terrain.tone_min[0]))

    @cached_property
    def back(self) -> float:
        """Dislike of walking back from the valve to see which wire at the controller it is."""
        back_min = float(self.terrain.walk_min[self.valve, 1]) + self.assumed.prove_wire_min
        return float(np.exp(self.k * back_min))

    @cached_property
    def total(self) -> float:
        return float(self.prices.m.total[0])

    def minutes(self, price: float) -> float:
        return float(np.log(price / self.total) / self.k)

    @cached_property
    def _reach(self) -> tuple[Floats, Floats]:
        """Dislike of reaching each cell of its leg from the leg's two ends."""
        line = self.line
        per_ft = np.array(
            [leg.tone_factor * self.assumed.tone_min_per_100_ft / 100 for leg in line.legs]
        )[line.cell_leg]
        starts, ends = line.point_ft[:-1][line.cell_leg], line.point_ft[1:][line.cell_leg]
        left = np.exp(self.k * (line.cell_ft - starts) * per_ft)
        right = np.exp(self.k * (ends - line.cell_ft) * per_ft)
        return left, right

    def masses(self, cells: Floats, belief: Belief, outer: Floats | None = None) -> Masses:
        """Return masses of a batch of cell masses (b, cells), all with the belief's other parts.

        `outer` (b, n + 5) are other point and outer masses: behind, points 0..n + 1, in the valve
        box, another wire on the terminal. The last is known only once one has walked back.
        """
        if outer is None:
            outer = self.outer(belief)[None]
        reach_left, reach_right = self._reach
        first = self.line.first_cell
        behind, points, in_box, other_wire = (
            *(outer[:, :1], outer[:, 1:-2]),
            *(outer[:, -2:-1], outer[:, -1:]),
        )
        settle, back = self.settle, self.back

        def gaps(weights: Floats, settled: float, back: float) -> Floats:
            legs = np.add.reduceat(cells * weights, first, axis=1)
            beyond = in_box + other_wire * back
            return np.concatenate([behind * settled, legs, beyond * settled], axis=1)

        zero = np.zeros_like(behind)
        return Masses(
            gap=gaps(np.ones(cells.shape[1]), 1.0, 1.0),
            point=np.concatenate([zero, points, zero], axis=1),
            left=gaps(reach_left, settle, back),
            right=gaps(reach_right, settle, back),
        )

    def priced(self, asked: Sequence[Asked]) -> Iterator[Option]:
        """Price all that is asked, and yield the options in its order."""
        if not asked:
            return
        batch = joined([each.masses for each in asked])
        prices = Prices(self.terrain, batch).from_point(np.concatenate([each.at for each in asked]))
        ends = np.cumsum([len(each.at) for each in asked])
        for each, own in zip(asked, np.split(prices, ends[:-1]), strict=True):
            yield from each.options(own)

    def after(
        self,
        results: Sequence[Reading],
        at: Ints,
        options: Callable[[Floats], Iterable[Option]],
    ) -> Asked:
        """Ask for the price of what each result leaves, weighed by its chance."""
        after = [weighed(self.belief, result, self.assumed) for result in results]
        return self.parted(after, at, options)

    def parted(
        self, parts: Sequence[Belief], at: Ints, options: Callable[[Floats], Iterable[Option]]
    ) -> Asked:
        """Ask for the price of each part of the belief alone, as the steps to come are priced."""
        masses = self.masses(
            np.stack([each.legs.sum(axis=0) for each in parts]),
            self.belief,
            np.stack([self.outer(each) for each in parts]),
        )
        return Asked(masses, at, options)

    def outer(self, belief: Belief) -> Floats:
        outside = belief.outside
        behind, in_box = (sum(outside[cause] for cause in of) for of in (BEHIND, IN_VALVE_BOX))
        return np.concatenate([[behind], belief.splice, [in_box, outside[Outside.WRONG_WIRE]]])

    @cached_property
    def sides(self) -> tuple[Floats, Floats]:
        """Mass before and beyond each point of the terrain, the point itself in neither."""
        m = self.prices.m
        gap, point = m.gap[0], m.point[0]
        before = np.concatenate([[0.0], np.cumsum(gap + point[1:])]) - point
        return before / self.total, (self.total - before - point) / self.total
