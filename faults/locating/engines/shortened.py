"""A long line priced on fewer legs: neighbours on which little is believed count as one.

What a price takes grows with the fourth power of the legs. Points that tests so far name stay, and
where the belief lies close every box stays: there the plan is the same. Our own approximation.
"""

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from itertools import pairwise

from faults.locating.engines.actions import Action
from faults.locating.engines.belief import Belief, Conductor
from faults.locating.engines.line import Floats, Ints, Leg, Line
from faults.locating.engines.options import Option, Stand
from sites.kernel.lazily import np

# A line of so many legs is priced as it is.
MOST_LEGS = 24
# Masses are compared in so many parts: those that are alike but for rounding are alike.
PARTS = 1e9
# Fields of actions that name a point.
POINTS = ("box", "start", "end", "fed_at")


@dataclass(frozen=True)
class Shortened:
    """A belief on fewer legs. `kept` are its points as points of the whole line, (p,)."""

    belief: Belief
    stand: Stand
    kept: tuple[int, ...]

    def named(self, options: list[Option]) -> list[Option]:
        """Return the options by points and legs of the whole line.

        One for a leg that stands for several is none for any of them.
        """
        actions = [(self._action(option.action), option) for option in options]
        return [replace(option, action=action) for action, option in actions if action is not None]

    def _action(self, action: Action) -> Action | None:
        names = {each.name for each in fields(action)}
        changes = {name: self.kept[getattr(action, name)] for name in POINTS if name in names}
        if "leg" in names:
            leg: int = getattr(action, "leg")  # noqa: B009
            start, end = self.kept[leg : leg + 2]
            if end - start > 1:
                return None
            changes["leg"] = start
        return replace(action, **changes)


def shortened(belief: Belief, stand: Stand) -> Shortened | None:
    """Return the belief on at most so many legs, None where it has no more."""
    if len(belief.line.legs) <= MOST_LEGS:
        return None
    kept = _kept(belief, stand)
    place = {point: i for i, point in enumerate(kept)}
    line = _merged(belief.line, kept)
    legs, splice = _moved(belief, line, kept)
    short = replace(
        belief,
        line=line,
        legs=legs,
        splice=splice,
        walked=tuple(
            replace(walk, low=place[walk.low], high=place[walk.high]) for walk in belief.walked
        ),
        listened=tuple(replace(each, point=place[each.point]) for each in belief.listened),
    )
    here = replace(
        stand,
        at=place[stand.at],
        open_box=None if stand.open_box is None else place[stand.open_box],
        tone_from=None if stand.tone_from is None else place[stand.tone_from],
    )
    return Shortened(short, here, tuple(kept))


def _kept(belief: Belief, stand: Stand) -> list[int]:
    """Return the points that stay: the least believed neighbours become one, time and again."""
    named = {stand.at, stand.open_box, stand.tone_from, *_tested(belief)}
    points = list(range(len(belief.line.point_ft)))
    mass = belief.by_leg.tolist()
    while len(mass) > MOST_LEGS:
        both = [
            np.inf
            if points[i] in named
            else np.floor((mass[i - 1] + mass[i] + belief.splice[points[i]]) * PARTS + 0.5)
            for i in range(1, len(mass))
        ]
        least = int(np.argmin(both))
        if both[least] == np.inf:
            break
        gone = points.pop(least + 1)
        mass[least : least + 2] = [mass[least] + mass[least + 1] + float(belief.splice[gone])]
    return points


def _tested(belief: Belief) -> Iterator[int]:
    """Yield the points that walks in vain and listening name."""
    for walk in belief.walked:
        yield from (walk.low, walk.high)
    for each in belief.listened:
        yield each.point


def _merged(line: Line, kept: list[int]) -> Line:
    legs = [_as_one(line.legs[start:end]) for start, end in pairwise(kept)]
    return Line(tuple(legs), tuple(line.boxes[point - 1] for point in kept[1:-1]))


def _as_one(legs: tuple[Leg, ...]) -> Leg:
    """Return one leg for several; its length is guessed where more than half of it is."""
    feet = float(sum(leg.length_ft for leg in legs))
    slow = float(sum(leg.length_ft * leg.tone_factor for leg in legs))
    guessed = float(sum(leg.length_ft * leg.is_guessed for leg in legs))
    return replace(
        legs[0],
        length_ft=feet,
        tone_factor=slow / feet if feet > 0 else legs[0].tone_factor,
        is_guessed=2 * guessed > feet,
    )


def _moved(belief: Belief, line: Line, kept: list[int]) -> tuple[Floats, Floats]:
    """Return the masses on the merged legs: cells by their place, lost splices as hot wire."""
    old = belief.line
    group_of = np.searchsorted(kept, np.arange(len(old.legs)), side="right") - 1
    start = old.point_ft[kept]
    counts = np.diff([*line.first_cell, len(line.cell_leg)])

    def cell_at(feet: Floats, group: Ints) -> Ints:
        length = (start[1:] - start[:-1])[group]
        share = (feet - start[group]) / np.where(length > 0, length, 1.0)
        within = np.minimum(np.floor(share * counts[group]).astype(int), counts[group] - 1)
        result: Ints = line.first_cell[group] + within
        return result

    at = cell_at(old.cell_ft, group_of[old.cell_leg])
    legs = np.stack([np.bincount(at, masses, len(line.cell_leg)) for masses in belief.legs])
    lost = np.setdiff1d(np.arange(len(old.point_ft)), kept)
    hot = list(Conductor).index(Conductor.HOT)
    np.add.at(legs[hot], cell_at(old.point_ft[lost], group_of[lost]), belief.splice[lost])
    return legs.astype(np.float64), belief.splice[kept]
