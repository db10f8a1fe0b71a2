"""A belief as a strip shows it: stretches of a few heights, and what is all but ruled out."""

from dataclasses import dataclass

from faults.locating.engines.belief import Belief
from faults.locating.engines.line import Floats
from sites.kernel.lazily import np

# A stretch's height: its likelihood per foot as a share of the likeliest foot's, times the chance
# that the fault lies in the wire at all. A fifth for each step, so that a bar says what its number
# says, on one wire and beside another's; the lowest from next to nothing on.
HEIGHTS = (0.01, 0.2, 0.4, 0.6, 0.8)
# A stretch is hatched when the tests took this share of its likelihood away. Never "ruled out
# for good": a tone misses, and a meter's lead can be bad.
LEFT_OF_IT = 0.1
NARROWEST_FT = 5.0
MOST = 120


@dataclass(frozen=True)
class Stretch:
    """Feet along the line of one height 0..5; `is_unlikely` = hatched."""

    from_ft: float
    to_ft: float
    height: int
    is_unlikely: bool


def stretches_of(before: Belief, belief: Belief) -> tuple[Stretch, ...]:
    """Return the line's stretches from the controller to the valve, neighbours alike joined.

    `before` is what was believed before any test of this search.
    """
    found: list[Stretch] = []
    edges, now, then = _bins(belief, before)
    highest = max(float(now.max()), 1e-300)
    in_wire = float(belief.legs.sum() + belief.splice.sum())
    heights = np.searchsorted(HEIGHTS, now / highest * in_wire, side="right")
    unlikely = now < LEFT_OF_IT * then
    for i, (start, end) in enumerate(edges):
        here = Stretch(start, end, int(heights[i]), bool(unlikely[i]))
        last = found[-1] if found else None
        if last and (last.height, last.is_unlikely) == (here.height, here.is_unlikely):
            found[-1] = Stretch(last.from_ft, here.to_ft, last.height, last.is_unlikely)
        else:
            found.append(here)
    return tuple(found)


def _bins(belief: Belief, before: Belief) -> tuple[list[tuple[float, float]], Floats, Floats]:
    """Return the bins' ends in feet, and the likelihood per foot in each, now and before."""
    line = belief.line
    width = max(NARROWEST_FT, line.length_ft / MOST)
    edges: list[tuple[float, float]] = []
    now: list[float] = []
    then: list[float] = []
    mass_now, mass_then = belief.legs.sum(axis=0), before.legs.sum(axis=0)
    for leg, first in enumerate(line.first_cell):
        length = line.legs[leg].length_ft
        if length <= 0:
            continue
        last = line.first_cell[leg + 1] if leg + 1 < len(line.legs) else len(line.cell_ft)
        for cells in np.array_split(np.arange(first, last), max(1, round(length / width))):
            if not len(cells):
                continue
            feet = float(line.cell_length_ft[cells].sum())
            start = float(line.cell_ft[cells[0]] - line.cell_length_ft[cells[0]] / 2)
            edges.append((start, start + feet))
            now.append(float(mass_now[cells].sum()) / feet)
            then.append(float(mass_then[cells].sum()) / feet)
    return edges, np.array(now), np.array(then)


def feet_unlikely(before: Belief, belief: Belief) -> float:
    """Return how many feet of the line the tests have all but ruled out."""
    return sum(
        each.to_ft - each.from_ft for each in stretches_of(before, belief) if each.is_unlikely
    )
