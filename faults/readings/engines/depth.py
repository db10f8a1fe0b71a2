"""Depth of a wire from the 45-degree offset of a receiver's null, or from two heights.

With the receiver tilted 45 degrees and walked square off the line, the null stands as far to
the side as the wire lies below the antenna: depth = offset - antenna height. Measured to a tip
on the ground, the height is 0 and nothing is taken off; it is never taken off twice.

Held level over the mark at two heights, the receiver reads as many times less above as the wire
is farther away: distance from the lower height = what they are apart / (ratio - 1).

Source: derived from the field of a long straight wire; no printed table was found. The
defaults of the errors are assumptions.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import hypot, inf, radians, sqrt
from statistics import fmean

MOST_ASYMMETRY = 0.15
NINETY_PERCENT = 1.645


class NoDepth(StrEnum):
    """Why offsets give no depth."""

    ONE_SIDE = "one side alone cannot show a bent field: measure to both"
    NOT_ABOVE_0 = "offsets must be above 0, and the antenna's height not below it"
    UNLIKE = "left and right differ too much: a neighbouring conductor bends the field"
    NOT_FALLING = "the reading must be the smaller one at the upper height"
    TOO_HIGH = "the depth would not be above 0: check to which point of the antenna was measured"


class UnableToTellDepth(ValueError):
    """The offsets do not give a depth; `why` says it for any language, `asymmetry` how unlike."""

    def __init__(self, why: NoDepth, asymmetry: float = 0.0) -> None:
        super().__init__(f"{why} ({asymmetry:.0%})" if asymmetry else str(why))
        self.why, self.asymmetry = why, asymmetry


@dataclass(frozen=True, slots=True)
class DepthErrors:
    """Standard errors of one offset: reading, tilt, and antenna height. Assumed.

    `reading_share` is that of a reading of the field, as a share of it.
    """

    reading_ft: float = 0.08
    tilt_degrees: float = 2.0
    height_ft: float = 0.05
    reading_share: float = 0.05


@dataclass(frozen=True, slots=True)
class Depth:
    """Feet to the wire, with their standard error, and how far the mark is off to the side.

    `shift_ft` above 0: the wire lies to the right of the mark; None where it was not measured.
    """

    depth_ft: float
    error_ft: float
    shift_ft: float | None

    @property
    def ninety_percent_ft(self) -> tuple[float, float]:
        """The interval that holds the depth nine times in ten."""
        half = NINETY_PERCENT * self.error_ft
        return self.depth_ft - half, self.depth_ft + half


def depth_from_offsets(
    left_ft: Sequence[float],
    right_ft: Sequence[float],
    *,
    antenna_height_ft: float = 0.0,
    errors: DepthErrors | None = None,
) -> Depth:
    """Return the depth from offsets to both sides.

    Raises:
        UnableToTellDepth: a side is missing, the sides differ by more than 15 % (a neighbouring
            conductor bends the field), or the depth would not be above 0.
    """
    if not left_ft or not right_ft:
        raise UnableToTellDepth(NoDepth.ONE_SIDE)
    are_offsets = all(0 < each < inf for each in (*left_ft, *right_ft))
    if not (are_offsets and 0 <= antenna_height_ft < inf):
        raise UnableToTellDepth(NoDepth.NOT_ABOVE_0)
    left, right = fmean(left_ft), fmean(right_ft)
    reach = (left + right) / 2
    asymmetry = abs(left - right) / reach
    if asymmetry > MOST_ASYMMETRY:
        raise UnableToTellDepth(NoDepth.UNLIKE, asymmetry)
    depth = reach - antenna_height_ft
    if depth <= 0:
        raise UnableToTellDepth(NoDepth.TOO_HIGH)
    error = _error(reach, len(left_ft), len(right_ft), antenna_height_ft, errors or DepthErrors())
    return Depth(depth, error, (right - left) / 2)


def _error(reach_ft: float, n_left: int, n_right: int, height_ft: float, e: DepthErrors) -> float:
    """An offset moves by 2 z for a radian of tilt, since d tan(45) = 2."""
    one = hypot(e.reading_ft, 2 * reach_ft * radians(e.tilt_degrees))
    of_means = one * sqrt(1 / n_left + 1 / n_right) / 2
    return hypot(of_means, e.height_ft if height_ft > 0 else 0.0)


def depth_from_two_heights(
    *,
    apart_ft: float,
    ratio: float,
    lower_height_ft: float = 0.0,
    errors: DepthErrors | None = None,
) -> Depth:
    """Return the depth by how the field falls off between two heights above the wire.

    Args:
        apart_ft: between the heights.
        ratio: field at the lower height over field at the upper one.
        lower_height_ft: of the receiver's coil above the ground at the lower height.

    Raises:
        UnableToTellDepth: the field does not fall with height, or the depth would not be above 0.
    """
    if not (0 < apart_ft < inf and 0 <= lower_height_ft < inf):
        raise UnableToTellDepth(NoDepth.NOT_ABOVE_0)
    if not ratio > 1:
        raise UnableToTellDepth(NoDepth.NOT_FALLING)
    reach = apart_ft / (ratio - 1)
    depth = reach - lower_height_ft
    if depth <= 0:
        raise UnableToTellDepth(NoDepth.TOO_HIGH)
    e = errors or DepthErrors()
    by_readings = reach * ratio / (ratio - 1) * e.reading_share * sqrt(2)
    # The lower height stands in the distance apart and is taken off once more.
    by_heights = hypot(1, ratio) / (ratio - 1) * e.height_ft
    return Depth(depth, hypot(by_readings, by_heights), None)
