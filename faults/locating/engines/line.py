"""The wire to search, as a line of legs between points: 0 the controller, n + 1 the valve."""

import math
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from typing import TYPE_CHECKING, Any

from sites.kernel.lazily import np

if TYPE_CHECKING:
    import numpy.typing as npt

    Floats = npt.NDArray[np.float64]
    Ints = npt.NDArray[np.int_]
    Bools = npt.NDArray[np.bool_]
else:
    Floats = Ints = Bools = Any

CELL_FT = 1.0
# Sums that are exactly at a share in theory lie on either side of it by rounding.
JUST_BELOW = 1 - 1e-9


class UnusableLine(ValueError):
    """The line cannot be searched; the message names the leg or box."""


class Joint(StrEnum):
    """What the hot wire does at a box. Most pass most boxes uncut."""

    SPLICED = "spliced"
    UNCUT = "passes uncut"
    NOT_KNOWN = "not known"


# How much of a splice to expect where nobody has looked.
SPLICE_SHARE = {Joint.SPLICED: 1.0, Joint.UNCUT: 0.0, Joint.NOT_KNOWN: 0.5}


@dataclass(frozen=True)
class Leg:
    """One leg of the wire's way.

    `years` is how long faults here would have been written down; `hazard_factor` what cover and
    conduit do to the hazard; `tone_factor` how much slower a tone is walked here than in turf.
    """

    name: str
    length_ft: float
    years: float = 10.0
    faults: float = 0.0
    hazard_factor: float = 1.0
    tone_factor: float = 1.0
    is_guessed: bool = False

    def __post_init__(self) -> None:
        if not (math.isfinite(self.length_ft) and self.length_ft >= 0):
            raise UnusableLine(f"Expected length_ft >= 0 on leg {self.name}, got {self.length_ft}")
        for name in ("years", "faults", "hazard_factor", "tone_factor"):
            value = getattr(self, name)
            if not (math.isfinite(value) and value >= 0):
                raise UnusableLine(f"Expected {name} >= 0 on leg {self.name}, got {value}")


@dataclass(frozen=True)
class Box:
    """A box on the way: what the wire does there, and the minutes to open it and test.

    `hazard_factor` = how much likelier than elsewhere its splice is to blame.
    """

    name: str
    joint: Joint = Joint.SPLICED
    open_min: float = 11.0
    hazard_factor: float = 1.0

    def __post_init__(self) -> None:
        if not (math.isfinite(self.hazard_factor) and self.hazard_factor >= 0):
            raise UnusableLine(
                f"Expected hazard_factor >= 0 at box {self.name}, got {self.hazard_factor}"
            )
        if not (math.isfinite(self.open_min) and self.open_min > 0):
            raise UnusableLine(f"Expected open_min > 0 at box {self.name}, got {self.open_min}")


@dataclass(frozen=True)
class Line:
    """Legs 0..n in order from the controller, and the boxes 1..n between them."""

    legs: tuple[Leg, ...]
    boxes: tuple[Box, ...] = ()

    def __post_init__(self) -> None:
        if not self.legs:
            raise UnusableLine("Expected at least one leg, got none")
        if len(self.boxes) != len(self.legs) - 1:
            raise UnusableLine(
                f"Expected a box between each two legs: {len(self.legs) - 1}, got {len(self.boxes)}"
            )
        if self.length_ft <= 0:
            raise UnusableLine("Expected some length, got legs of 0 ft only")

    @cached_property
    def length_ft(self) -> float:
        """Feet from controller to valve."""
        return float(sum(leg.length_ft for leg in self.legs))

    @cached_property
    def point_ft(self) -> Floats:
        """Feet from the controller of each point, (n + 2,)."""
        return np.concatenate([[0.0], np.cumsum([leg.length_ft for leg in self.legs])])

    def guessed_ft(self, feet: Floats) -> Floats:
        """Feet of guessed legs between the controller and each place."""
        lengths = [leg.length_ft * leg.is_guessed for leg in self.legs]
        guessed: Floats = np.interp(
            feet, self.point_ft, np.concatenate([[0.0], np.cumsum(lengths)])
        )
        return guessed

    @cached_property
    def cell_leg(self) -> Ints:
        """The leg of each cell. A leg without length has one cell, which never has mass."""
        return np.repeat(np.arange(len(self.legs)), self._cells)

    @cached_property
    def cell_ft(self) -> Floats:
        """Feet from the controller to the middle of each cell."""
        middles = [
            self.point_ft[i] + (np.arange(count) + 0.5) / count * leg.length_ft
            for i, (leg, count) in enumerate(zip(self.legs, self._cells, strict=True))
        ]
        return np.concatenate(middles)

    @cached_property
    def cell_length_ft(self) -> Floats:
        """Length of each cell in feet."""
        lengths = np.array([leg.length_ft for leg in self.legs]) / np.array(self._cells)
        result: Floats = lengths[self.cell_leg]
        return result

    @cached_property
    def first_cell(self) -> Ints:
        """Index of the first cell of each leg."""
        return np.concatenate([[0], np.cumsum(self._cells)[:-1]])

    @cached_property
    def _cells(self) -> list[int]:
        return [max(1, math.ceil(leg.length_ft / CELL_FT)) for leg in self.legs]

    def check_box(self, box: int) -> None:
        """Refuse a box that is not on this line.

        Raises:
            UnusableLine: the number lies outside 1..n.
        """
        if not 1 <= box <= len(self.boxes):
            raise UnusableLine(f"Expected a box 1..{len(self.boxes)} of this wire, got {box}")

    def check_point(self, point: int) -> None:
        """Refuse a point that is not on this line.

        Raises:
            UnusableLine: the number lies outside 0..n + 1.
        """
        if not 0 <= point <= len(self.boxes) + 1:
            raise UnusableLine(f"Expected a point 0..{len(self.boxes) + 1}, got {point}")
