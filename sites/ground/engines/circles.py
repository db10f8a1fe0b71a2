"""The circle that holds a place with a chance, by all that is believed of it.

A tie leaves a ring of places and not a stretch of a straight line: a circle by the covariance of
the best place alone holds it far too seldom where marks are near, or are themselves only roughly
known, or where both sides of two marks remain possible. Here the belief over the plane is added up.

Sources: a tape from a mark whose place has a circular normal error gives a distance that follows
Rice's distribution, of which a plain normal is the limit far from the mark; the rest is Bayes' rule
with an even chance everywhere before.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, inf, log, sqrt
from typing import TYPE_CHECKING

from sites.ground.engines.fixing import Fixed, Position, Tie
from sites.kernel.lazily import lazily, np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

special = lazily("scipy.special")

# What is less likely than the best place by so many powers of e adds nothing.
LEAST_LOG = 16.0
# A cell is halved until it is so much of the smallest error, as long as there are not too many; the
# finer where they are few, which costs little.
CELL_SD, MOST_CELLS = 0.5, 60_000
FINE_CELL_SD, FINE_CELLS = 0.1, 12_000
# So many errors of a position, or of a tie beyond its tape, and no place is farther.
REACH_SD = 6.0
FIRST_CELLS = 16
# Another place with less belief than this, or as near as this, is not worth a word.
LEAST_RIVAL, RIVAL_FT = 0.05, 6.0


@dataclass(frozen=True, slots=True)
class Circle:
    """The radius about the best place, in feet, and the place that is nearly as good, if any."""

    radius_ft: float
    rival: tuple[float, float] | None = None


def circle(found: Fixed, ties: Sequence[Tie], position: Position | None, chance: float) -> Circle:
    """Return the circle about the place that holds it with this chance.

    Args:
        found: what `fix` made of the same ties and position.
    """
    if position is not None and not ties:
        return Circle(position.sd_ft * sqrt(-2 * log(1 - chance)))
    x, y, share = _believed(found, ties, position)
    away = np.hypot(x - found.x, y - found.y)
    order = np.argsort(away)
    # Half of a cell's own share lies within its middle.
    held = np.cumsum(share[order]) - share[order] / 2
    radius = float(np.interp(chance, held, away[order]))
    return Circle(radius, _rival(found, x, y, share))


def _rival(found: Fixed, x: "Floats", y: "Floats", share: "Floats") -> tuple[float, float] | None:
    """The likeliest of the other places, each with what lies nearest to it."""
    x0, y0 = found.x, found.y
    apart = [each for each in found.rivals if hypot(each[0] - x0, each[1] - y0) > RIVAL_FT]
    if not apart:
        return None
    places = [(x0, y0), *apart]
    nearest = np.argmin([np.hypot(x - px, y - py) for px, py in places], axis=0)
    beliefs = np.bincount(nearest, weights=share, minlength=len(places))
    best = int(np.argmax(beliefs[1:])) + 1
    return places[best] if beliefs[best] >= LEAST_RIVAL else None


def _believed(
    found: Fixed, ties: Sequence[Tie], position: Position | None
) -> tuple["Floats", "Floats", "Floats"]:
    """Cells that hold all of the belief: their middles, and the share of each."""
    x, y, half = _first_cells(found, ties, position)
    smallest = min([tie.sd_ft for tie in ties] + ([position.sd_ft] if position else []))
    top = _log_belief(np.array([found.x]), np.array([found.y]), ties, position, 0.0)[0]
    while _is_worth_halving(2 * half / smallest, 4 * len(x)):
        half /= 2
        x = np.concatenate([x - half, x - half, x + half, x + half])
        y = np.concatenate([y - half, y + half, y - half, y + half])
        # The most that a cell could hold anywhere within it decides whether it is kept.
        most = _log_belief(x, y, ties, position, half * 2**0.5)
        kept = most > top - LEAST_LOG
        x, y = x[kept], y[kept]
    logs = _log_belief(x, y, ties, position, 0.0)
    share = np.exp(logs - logs.max())
    return x, y, share / share.sum()


def _is_worth_halving(cell_sd: float, cells: int) -> bool:
    if cell_sd > CELL_SD:
        return cells <= MOST_CELLS
    return cell_sd > FINE_CELL_SD and cells <= FINE_CELLS


def _first_cells(
    found: Fixed, ties: Sequence[Tie], position: Position | None
) -> tuple["Floats", "Floats", float]:
    """Middles of the first cells, over a square that no place lies beyond, and half their side."""
    reaches = [
        hypot(found.x - tie.x, found.y - tie.y) + tie.tape_ft + REACH_SD * tie.sd_ft
        for tie in ties
    ]  # fmt: skip
    if position is not None:
        off = hypot(found.x - position.x, found.y - position.y)
        reaches.append(off + REACH_SD * position.sd_ft)
    reach = min(reaches, default=inf)
    half = reach / FIRST_CELLS
    middles = np.linspace(-reach + half, reach - half, FIRST_CELLS)
    across, up = np.meshgrid(found.x + middles, found.y + middles)
    return across.ravel(), up.ravel(), half


def _log_belief(
    x: "Floats", y: "Floats", ties: Sequence[Tie], position: Position | None, slack: float
) -> "Floats":
    """The log of the belief, but for a constant; at its most within `slack` feet of each place."""
    logs = np.zeros_like(x)
    for tie in ties:
        away = np.hypot(x - tie.x, y - tie.y)
        # The farthest that the distance may be moved towards the tape.
        away = away + np.clip(tie.tape_ft - away, -slack, slack)
        logs += _log_rice(away, tie.tape_ft, tie.sd_ft)
    if position is not None:
        off = np.maximum(np.hypot(x - position.x, y - position.y) - slack, 0)
        logs -= off**2 / (2 * position.sd_ft**2)
    return logs


def _log_rice(away: "Floats", tape_ft: float, sd_ft: float) -> "Floats":
    """The log of the chance of this tape at distances from the mark; highest near the tape."""
    scaled = away * tape_ft / sd_ft**2
    logs: Floats = -((away - tape_ft) ** 2) / (2 * sd_ft**2) + np.log(special.i0e(scaled))
    return logs
