"""The next action that ends the search soonest: every action ranked by minutes to the end.

Each first action is priced exactly (its own errors, its own results), and what follows by
`costs`. An action that could not change the belief is not offered, so that nobody re-opens a
box for ever.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from faults.engines.locating.actions import (
    Action,
    CheckController,
    CheckValve,
    CutBox,
    ListenAt,
    MoveToSpare,
    OpenBox,
    ReadDistance,
    WalkTone,
)
from faults.engines.locating.assumptions import Assumptions
from faults.engines.locating.belief import Belief, Conductor, Outside
from faults.engines.locating.costs import Masses, Prices, Terrain
from faults.engines.locating.evidence import Distance, Likelihood
from faults.engines.locating.line import Bools, Floats, Ints, Joint, Line

# A test whose rarer side is less likely than this tells nothing new.
LEAST_SIDE = 0.08
# A walk over less than this is not offered.
LEAST_WALK = 0.03
# A tone on the common is offered where the common is this likely to blame.
LEAST_COMMON = 0.10
# So many walks are priced, those that find most for their minutes.
MOST_WALKS = 48
# The settling of an outer cause takes no set-up; a gap must take some time.
LEAST_SETTLE_MIN = 0.5
DISTANCE_RESULTS = 7


@dataclass(frozen=True)
class Stand:
    """Where the technician stands: point 0..n + 1, which box is open, where the tone is fed."""

    at: int = 0
    open_box: int | None = None
    tone_from: int | None = None
    tone_on: Conductor = Conductor.HOT


@dataclass(frozen=True)
class Tools:
    """What is at hand besides opening boxes and a tone."""

    tone: bool = True
    distance_at_controller: bool = False
    distance_at_valve: bool = False
    spare_min: float | None = None
    may_cut: bool = True


@dataclass(frozen=True)
class Option:
    """One action, its own minutes from here, and the minutes to the end if it goes first.

    `minutes` weighs long searches more than short ones. `before` and `beyond` are the chances of
    the sides of a test; `finds` the chance that the action itself finds the fault.
    """

    action: Action
    minutes: float
    own_min: float
    before: float = 0.0
    beyond: float = 0.0
    finds: float = 0.0


def next_actions(belief: Belief, stand: Stand, tools: Tools, assumed: Assumptions) -> list[Option]:
    """Return every useful action, the best first."""
    return _Planner(belief, stand, tools, assumed).ranked()


def terrain_of(line: Line, assumed: Assumptions, *, may_cut: bool = True) -> Terrain:
    """Return the terrain of a line with a gap behind the controller and one beyond the valve."""
    feet = np.concatenate([[0.0], line.point_ft, [line.length_ft]])
    tone = [
        leg.length_ft / 100 * assumed.tone_min_per_100_ft * leg.tone_factor for leg in line.legs
    ]
    settle = max(LEAST_SETTLE_MIN, assumed.settle_outside_min - assumed.tone_setup_min)
    tests = [box_test(line, box, assumed, may_cut=may_cut) for box in range(1, len(line.boxes) + 1)]
    ends = 1 - assumed.check_specificity
    return Terrain(
        walk_min=np.abs(feet[:, None] - feet) / assumed.walk_ft_per_min,
        tone_min=np.array([settle, *tone, settle]),
        test_min=np.array(
            [0.0, assumed.terminals_min, *(test.minutes for test in tests), assumed.coil_min, 0.0]
        ),
        test_error=np.array([0.0, ends, *(test.error for test in tests), ends, 0.0]),
        setup_min=assumed.tone_setup_min,
        detects=assumed.tone_detects,
        dislike_per_min=assumed.dislike_per_min,
    )


@dataclass(frozen=True)
class BoxWay:
    """How a box is tested best: the action, its minutes without the way, its error."""

    action: OpenBox | CutBox | ListenAt
    minutes: float
    error: float


def box_ways(line: Line, box: int, assumed: Assumptions, *, may_cut: bool) -> list[BoxWay]:
    """Return the ways to test at a box: by its splice, by cutting, by listening."""
    here = line.boxes[box - 1]
    alike, wrong = _pair_errors(assumed)
    retest = assumed.repeat_min * alike / (1 - alike)
    if here.joint is Joint.SPLICED:
        return [BoxWay(OpenBox(box), here.open_min + retest, wrong)]
    listen = (1 - assumed.listen_sensitivity + 1 - assumed.listen_specificity) / 2
    ways: list[BoxWay] = [BoxWay(ListenAt(box), here.open_min, listen)]
    if may_cut:
        cut = here.open_min + retest + assumed.cut_uncut_min + assumed.lasting_splice_min
        ways.append(BoxWay(CutBox(box), cut, wrong))
    return ways


def box_test(line: Line, box: int, assumed: Assumptions, *, may_cut: bool) -> BoxWay:
    """Return the way that later steps are priced by: minutes plus what an error would cost."""
    in_vain = assumed.tone_setup_min + line.length_ft / 100 * assumed.tone_min_per_100_ft
    ways = box_ways(line, box, assumed, may_cut=may_cut)
    return min(ways, key=lambda way: way.minutes + way.error * in_vain)


def _pair_errors(assumed: Assumptions) -> tuple[float, float]:
    """Chance that both sides read alike, and that an unlike pair names the wrong side."""
    se, sp, swapped = assumed.box_sensitivity, assumed.box_specificity, assumed.box_swapped
    right, crossed = se * sp, (1 - se) * (1 - sp)
    alike = se * (1 - sp) + (1 - se) * sp
    said_right = (1 - swapped) * right + swapped * crossed
    said_wrong = (1 - swapped) * crossed + swapped * right
    return alike, said_wrong / (said_right + said_wrong)


class _Planner:
    def __init__(self, belief: Belief, stand: Stand, tools: Tools, assumed: Assumptions) -> None:
        self.belief, self.stand, self.tools, self.assumed = belief, stand, tools, assumed
        self.line = belief.line
        self.terrain = terrain_of(self.line, assumed, may_cut=tools.may_cut)
        self.k = assumed.dislike_per_min
        self.here = stand.at + 1
        self.valve = len(self.line.boxes) + 2
        self.prices = Prices(self.terrain, self._masses(belief.legs.sum(axis=0)[None], belief))

    def ranked(self) -> list[Option]:
        found = [*self._boxes(), *self._ends(), *self._walks(), *self._distances()]
        if not found:
            found = list(self._walks(least=0.0))
        if self.tools.spare_min is not None:
            found.append(
                Option(MoveToSpare(), self.tools.spare_min, self.tools.spare_min, finds=1.0)
            )
        return sorted(found, key=lambda option: option.minutes)

    @cached_property
    def total(self) -> float:
        return float(self.prices.m.total[0])

    def _minutes(self, price: float) -> float:
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

    def _masses(self, cells: Floats, belief: Belief, outer: Floats | None = None) -> Masses:
        """Return masses of a batch of cell masses (b, cells), all with the belief's other parts.

        `outer` (b, n + 4) are other point and outer masses: behind, points 0..n + 1, beyond.
        """
        if outer is None:
            outer = self._outer(belief)[None]
        reach_left, reach_right = self._reach
        first = self.line.first_cell
        behind, points, beyond = outer[:, :1], outer[:, 1:-1], outer[:, -1:]
        settle = np.exp(self.k * self.terrain.tone_min[0])

        def gaps(weights: Floats, settled: float) -> Floats:
            legs = np.add.reduceat(cells * weights, first, axis=1)
            return np.concatenate([behind * settled, legs, beyond * settled], axis=1)

        zero = np.zeros_like(behind)
        return Masses(
            gap=gaps(np.ones(cells.shape[1]), 1.0),
            point=np.concatenate([zero, points, zero], axis=1),
            left=gaps(reach_left, float(settle)),
            right=gaps(reach_right, float(settle)),
        )

    def _outer(self, belief: Belief) -> Floats:
        outside = belief.outside
        behind = outside[Outside.OUTPUT] + outside[Outside.COMMON_TERMINAL]
        beyond = outside[Outside.COIL] + outside[Outside.WATER]
        return np.concatenate([[behind], belief.splice, [beyond]])

    @cached_property
    def _sides(self) -> tuple[Floats, Floats]:
        """Mass before and beyond each point of the terrain, the point itself in neither."""
        m = self.prices.m
        gap, point = m.gap[0], m.point[0]
        before = np.concatenate([[0.0], np.cumsum(gap + point[1:])]) - point
        return before / self.total, (self.total - before - point) / self.total

    def _is_news(self, at: int) -> bool:
        before, beyond = self._sides
        here = float(self.prices.m.point[0, at]) / self.total
        return float(min(before[at], beyond[at])) + here >= LEAST_SIDE

    def _split(self, at: int, minutes: float, error: float) -> float:
        """Price a test at a point by a way of its own."""
        t = replace(
            self.terrain,
            test_min=np.where(np.arange(self.valve + 2) == at, minutes, self.terrain.test_min),
            test_error=np.where(np.arange(self.valve + 2) == at, error, self.terrain.test_error),
        )
        prices = self.prices
        kept, prices.t = prices.t, t
        value = prices.split(np.array([0]), np.array([at]), np.array([self.terrain.gaps]))
        prices.t = kept
        return float(value[0, 0])

    def _boxes(self) -> Iterator[Option]:
        for box in range(1, len(self.line.boxes) + 1):
            if not self._is_news(box + 1):
                continue
            for way in box_ways(self.line, box, self.assumed, may_cut=self.tools.may_cut):
                yield self._test(way.action, box + 1, self._still(way), way.error)

    def _still(self, way: BoxWay) -> float:
        """A box that is still open takes only the test."""
        if self.stand.open_box != way.action.box or self.stand.at != way.action.box:
            return way.minutes
        return self.assumed.repeat_min

    def _test(self, action: Action, at: int, minutes: float, error: float) -> Option:
        before, beyond = self._sides
        price = self._split(at, minutes, error) * self.terrain.walk[self.here, at]
        own = minutes + float(self.terrain.walk_min[self.here, at])
        finds = float(self.prices.m.point[0, at]) / self.total
        return Option(
            action, self._minutes(price), own, float(before[at]), float(beyond[at]), finds
        )

    def _ends(self) -> Iterator[Option]:
        """Look at the controller or at the valve: what is wrong there is found and settled."""
        m = self.prices.m
        ends = np.array([0, self.terrain.gaps - 1])
        at = np.array([1, self.valve])
        minutes = np.array([self.assumed.terminals_min, self.assumed.coil_min])
        there = m.gap[0, ends]
        if not (there / self.total >= LEAST_WALK).any():
            return
        finds = self.assumed.check_sensitivity
        left = np.where(np.arange(self.terrain.gaps) == ends[:, None], 1 - finds, 1.0)
        rest = Prices(
            self.terrain,
            Masses(m.gap * left, np.repeat(m.point, 2, axis=0), m.left * left, m.right * left),
        ).from_point(at)
        settle = np.exp(self.k * self.assumed.settle_outside_min)
        own = minutes + self.terrain.walk_min[self.here, at]
        price = np.exp(self.k * own) * (finds * there * settle + rest)
        looks: tuple[Action, Action] = (CheckController(), CheckValve())
        for i, action in enumerate(looks):
            share = float(there[i]) / self.total
            if share >= LEAST_WALK:
                yield Option(
                    action, self._minutes(float(price[i])), float(own[i]), finds=share * finds
                )

    def _walks(self, least: float = LEAST_WALK) -> Iterator[Option]:
        if not self.tools.tone:
            return
        for conductor in (Conductor.HOT, Conductor.COMMON):
            yield from self._walks_on(conductor, least)

    def _walks_on(self, conductor: Conductor, least: float) -> Iterator[Option]:
        carries = self.belief.legs[[list(Conductor).index(conductor), 2]].sum(axis=0)
        silent = self.belief.legs.sum(axis=0) - carries
        points = np.arange(1, self.valve + 1)
        start, end = (each.ravel() for each in np.meshgrid(points, points, indexing="ij"))
        walked = start != end
        start, end = start[walked], end[walked]
        low, high = np.minimum(start, end), np.maximum(start, end)
        fed = self._masses(carries[None], replace(self.belief, outside=dict.fromkeys(Outside, 0.0)))
        chance = self._chance(fed, low, high)
        keep = chance / self.total > least
        if conductor is Conductor.COMMON and self.belief.of(Conductor.COMMON) < LEAST_COMMON:
            return
        if not keep.any():
            return
        keep &= self._is_worth_pricing(chance, low, high, keep)
        yield from self._priced_walks(conductor, start[keep], end[keep], fed, silent, chance[keep])

    def _is_worth_pricing(self, chance: Floats, low: Ints, high: Ints, keep: Bools) -> Bools:
        """Keep the walks that find most for their minutes, and the longest ones."""
        if keep.sum() <= MOST_WALKS:
            return keep
        minutes = self.terrain.setup_min + self.terrain.until[high] - self.terrain.until[low]
        worth = np.where(keep, chance / minutes, -1.0)
        least = np.sort(worth)[-MOST_WALKS]
        result: Bools = worth >= least
        return result

    def _chance(self, fed: Masses, low: Ints, high: Ints) -> Floats:
        gap = np.concatenate([[0.0], np.cumsum(fed.gap[0])])
        point = np.concatenate([[0.0], np.cumsum(fed.point[0])])
        result: Floats = gap[high] - gap[low] + point[high + 1] - point[low]
        return result

    def _priced_walks(
        self,
        conductor: Conductor,
        start: Ints,
        end: Ints,
        fed: Masses,
        silent: Floats,
        chance: Floats,
    ) -> Iterator[Option]:
        t, finds = self.terrain, self.assumed.tone_detects
        low, high = np.minimum(start, end), np.maximum(start, end)
        rest = Prices(t, self._left_after(fed, silent, low, high)).from_point(end)
        full = np.exp(self.k * (t.until[high] - t.until[low]))
        found = self._found(fed, start, end)
        is_fed = (
            start == (self.stand.tone_from if self.stand.tone_from is not None else -9) + 1
        ) & (self.stand.tone_on is conductor)
        setup_min = np.where(is_fed, 0.0, t.setup_min)
        price = (
            t.walk[self.here, start] * np.exp(self.k * setup_min) * (finds * found + full * rest)
        )
        own = t.walk_min[self.here, start] + setup_min + t.until[high] - t.until[low]
        for i in range(len(start)):
            yield Option(
                WalkTone(int(start[i]) - 1, int(end[i]) - 1, conductor),
                self._minutes(float(price[i])),
                float(own[i]),
                finds=float(chance[i] / self.total) * finds,
            )

    def _found(self, fed: Masses, start: Ints, end: Ints) -> Floats:
        """Sum of mass x dislike of reaching it by each walk; both end points are on the way."""
        grow = np.exp(self.k * self.terrain.until)
        low, high = np.minimum(start, end), np.maximum(start, end)
        zero = [0.0]
        right_gaps = np.concatenate([zero, np.cumsum(fed.left[0] * grow[:-1])])
        left_gaps = np.concatenate([zero, np.cumsum(fed.right[0] / grow[1:])])
        right_points = np.concatenate([zero, np.cumsum(fed.point[0] * grow)])
        left_points = np.concatenate([zero, np.cumsum(fed.point[0] / grow)])
        rightward = right_gaps[high] - right_gaps[low] + right_points[high + 1] - right_points[low]
        leftward = left_gaps[high] - left_gaps[low] + left_points[high + 1] - left_points[low]
        result: Floats = np.where(end > start, rightward / grow[low], leftward * grow[high])
        return result

    def _left_after(self, fed: Masses, silent: Floats, low: Ints, high: Ints) -> Masses:
        """What is left of the belief when each of these walks found nothing."""
        misses = 1 - self.assumed.tone_detects
        other = self._masses(silent[None], replace(self.belief, splice=self.belief.splice * 0))
        gaps, points = np.arange(self.terrain.gaps), np.arange(self.terrain.gaps + 1)
        on_gap = (gaps >= low[:, None]) & (gaps < high[:, None])
        on_point = (points >= low[:, None]) & (points <= high[:, None])
        gap, point = np.where(on_gap, misses, 1.0), np.where(on_point, misses, 1.0)
        return Masses(
            gap=fed.gap * gap + other.gap,
            point=fed.point * point + other.point,
            left=fed.left * gap + other.left,
            right=fed.right * gap + other.right,
        )

    def _distances(self) -> Iterator[Option]:
        if self.tools.distance_at_controller:
            yield self._distance(from_valve=False)
        if self.tools.distance_at_valve:
            yield self._distance(from_valve=True)

    def _distance(self, *, from_valve: bool) -> Option:
        """Price a reading by its results at even steps of their chance."""
        at = self.valve if from_valve else 1
        results = [self._seen(feet, from_valve) for feet in self._likely_feet(from_valve)]
        cells = np.stack([cells for cells, _ in results])
        outer = np.stack([outer for _, outer in results])
        scale = self.total / (cells.sum(axis=1) + outer.sum(axis=1))
        masses = self._masses(cells * scale[:, None], self.belief, outer * scale[:, None])
        after = self._with_walks(masses, at)
        minutes = self.assumed.distance_min
        price = float(after.mean()) * np.exp(self.k * minutes) * self.terrain.walk[self.here, at]
        own = minutes + float(self.terrain.walk_min[self.here, at])
        return Option(ReadDistance(from_valve), self._minutes(price), own)

    def _likely_feet(self, from_valve: bool) -> Sequence[float]:
        feet = np.concatenate([self.line.cell_ft, self.line.point_ft])
        mass = np.concatenate([self.belief.legs.sum(axis=0), self.belief.splice])
        order = np.argsort(feet)
        share = np.cumsum(mass[order])
        wanted = (np.arange(DISTANCE_RESULTS) + 0.5) / DISTANCE_RESULTS * share[-1]
        chosen = feet[order][np.minimum(np.searchsorted(share, wanted), len(feet) - 1)]
        return [float(self.line.length_ft - ft if from_valve else ft) for ft in chosen]

    def _seen(self, feet: float, from_valve: bool) -> tuple[Floats, Floats]:
        seen: Likelihood = Distance(feet, from_valve).likelihood(self.line, self.assumed)
        after = replace(
            self.belief,
            legs=self.belief.legs * seen.legs,
            splice=self.belief.splice * seen.splice,
            outside={c: m * seen.outside[c] for c, m in self.belief.outside.items()},
        )
        return after.legs.sum(axis=0), self._outer(after)

    def _with_walks(self, masses: Masses, at: int) -> Floats:
        """Price each belief from a point, a walk over one part first being a way of its own."""
        return Prices(self.terrain, masses).from_point(np.full(len(masses.gap), at))
