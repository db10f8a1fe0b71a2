"""Opening the ground within a leg: where no tone shows the place, a hole at a half parts the rest.

The hole is priced as the box that it becomes: on the line with that leg in two. What follows may
walk, test or renew one of the halves.
"""

from collections.abc import Iterator
from dataclasses import replace
from functools import cached_property

from faults.locating.engines.actions import OpenGround
from faults.locating.engines.belief import Belief, Neighbour
from faults.locating.engines.ground import Ground
from faults.locating.engines.line import JUST_BELOW, Box, Floats, Joint, Line
from faults.locating.engines.options import Option, Stand
from faults.locating.engines.ways import pair_errors
from sites.kernel.lazily import np

# The ground is opened only on a leg where the fault lies this likely.
LEAST_OPENED = 0.35 * JUST_BELOW


class Openings(Ground):
    """The holes of a plan, one on each leg that is likely enough."""

    def _openings(self) -> Iterator[Option]:
        if not (self.tools.open_ground and self.tools.may_cut):
            return
        for leg, share in enumerate(self.belief.by_leg.tolist()):
            if share / self.total < LEAST_OPENED:
                continue
            feet = half_of(self.belief, leg)
            spared_ft = min(feet, self.line.legs[leg].length_ft - feet)
            # On a short leg the new wire that a hole spares takes less than the hole.
            if spared_ft / 100 * self.assumed.renew_min_per_100_ft > self._hole[0]:
                yield self._opened(leg, feet)

    @cached_property
    def _hole(self) -> tuple[float, float]:
        """Minutes of a hole and the tests in it, and the chance that they name the wrong side."""
        assumed = self.assumed
        alike, wrong = pair_errors(
            assumed.box_sensitivity, assumed.box_specificity, assumed.box_swapped
        )
        minutes = assumed.open_ground_min + assumed.cut_uncut_min + assumed.lasting_splice_min
        return minutes + assumed.repeat_min * alike / (1 - alike), wrong

    def _opened(self, leg: int, feet: float) -> Option:
        assumed, at = self.assumed, leg + 2
        minutes, wrong = self._hole
        parted = parted_at(self.belief, leg, feet, open_min=assumed.open_box_min)
        ground = Ground(parted, stand_on(self.stand, leg), self.tools, assumed)
        own = minutes + float(ground.terrain.walk_min[ground.here, at])
        price = ground.prices.test(at, minutes, wrong) * float(ground.terrain.walk[ground.here, at])
        before, beyond = ground.sides
        return Option(
            OpenGround(leg, feet), ground.minutes(price), own, float(before[at]), float(beyond[at])
        )


def half_of(belief: Belief, leg: int) -> float:
    """Return where on a leg half of its likelihood lies on either side, in feet along it."""
    line = belief.line
    cells = np.flatnonzero(line.cell_leg == leg)
    mass = np.cumsum(belief.legs[:, cells].sum(axis=0))
    before = int(np.searchsorted(mass, mass[-1] / 2 * JUST_BELOW)) + 1
    return before * (line.legs[leg].length_ft / len(cells))


def parted_line(line: Line, leg: int, feet: float, *, open_min: float) -> Line:
    """Return the line with a box on a leg, so many feet from the leg's controller end."""
    whole = line.legs[leg]
    first = replace(whole, length_ft=feet)
    second = replace(whole, length_ft=whole.length_ft - feet)
    box = Box(whole.name, Joint.SPLICED, open_min)
    return Line(
        (*line.legs[:leg], first, second, *line.legs[leg + 1 :]),
        (*line.boxes[:leg], box, *line.boxes[leg:]),
    )


def parted_at(belief: Belief, leg: int, feet: float, *, open_min: float) -> Belief:
    """Return the same belief on the line with a box on a leg: what is believed of no foot moves."""
    line = parted_line(belief.line, leg, feet, open_min=open_min)
    walked = tuple(
        replace(walk, low=moved(walk.low, leg), high=moved(walk.high, leg))
        for walk in belief.walked
    )
    return replace(
        belief,
        line=line,
        legs=_fitting(belief, line, leg),
        splice=np.insert(belief.splice, leg + 1, 0.0),
        walked=walked,
        listened=tuple(replace(each, point=moved(each.point, leg)) for each in belief.listened),
    )


def _fitting(belief: Belief, line: Line, leg: int) -> Floats:
    """Return the masses of the cells on the parted line, (3, cells)."""
    old = belief.line
    count = int((old.cell_leg == leg).sum())
    feet, whole_ft = line.legs[leg].length_ft, old.legs[leg].length_ft
    before = round(feet / whole_ft * count)
    legs = np.zeros((len(belief.legs), len(line.cell_leg)))
    here, first = int(old.first_cell[leg]), int(line.first_cell[leg])
    # As many cells as before, but for rounding of a length.
    within = np.arange(count)
    second = int(line.first_cell[leg + 1])
    ends = second + int((line.cell_leg == leg + 1).sum())
    to = np.where(
        within < before,
        np.minimum(first + within, second - 1),
        np.minimum(second + within - before, ends - 1),
    )
    legs[:, :here] = belief.legs[:, :here]
    legs[:, ends:] = belief.legs[:, here + count :]
    for of, masses in zip(legs, belief.legs, strict=True):
        np.add.at(of, to, masses[here : here + count])
    return legs


def moved(point: int, leg: int) -> int:
    """Return the number of a point once a leg has a box of its own."""
    return point + (point > leg)


def stand_on(stand: Stand, leg: int) -> Stand:
    """Return the same stand on the line with that box."""

    def of(point: int | None) -> int | None:
        return None if point is None else moved(point, leg)

    return replace(
        stand,
        at=moved(stand.at, leg),
        open_box=of(stand.open_box),
        tone_from=of(stand.tone_from),
    )


def on_parted(neighbour: Neighbour, leg: int) -> Neighbour:
    """Return what another station says on the line with that box."""

    def of(legs: frozenset[int]) -> frozenset[int]:
        both = {leg, leg + 1} if leg in legs else set()
        return frozenset({moved(each, leg) for each in legs} | both)

    return replace(neighbour, shares=of(neighbour.shares), common=of(neighbour.common))
