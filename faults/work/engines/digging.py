"""Hours to dig a hole by hand and fill it again, always as a range, and the quote from them.

Sources:
- Guild of Project Controls, planningplanet.com/wiki/422684/excavate-reduce-levels: m3 that one
  person digs in an hour, pits and trenches to 1.5 m deep, pits to 2 m2.
- Industrial Process Plant Construction Estimating and Man-Hour Analysis, p. 84: 2.80 man-hours a
  cubic yard by hand, 3.00 to fill and compact by hand.
- Estimator's Piping Man Hour Manual, p. 207: hardpan and rock as groups of their own.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from faults.prices.engines.pricing import amount_of, sum_of

M3_PER_YD3 = 0.9144**3
FT_PER_M = 1 / 0.3048
CUFT_PER_YD3 = 27
DIG_H_PER_YD3_MOST = 2.80
FILL_H_PER_YD3 = 3.00
LEAST_H_PER_YD3 = 1.5
DEEPEST_OF_THE_FIGURES_FT = 1.5 * FT_PER_M
LARGEST_PIT_SQFT = 2 * FT_PER_M**2


class UnableToEstimate(ValueError):
    """No figure for digging this by hand was found; the message says which ground."""


class Ground(StrEnum):
    """The ground by how hard it is to dig, easiest first."""

    LOOSE = "loose"
    FIRM = "firm"
    GRAVEL = "gravel"
    CLAY = "clay"
    BOULDER_CLAY = "boulder clay"
    HARDPAN = "hardpan"
    ROCK = "rock"


PIT_M3_PER_H = {
    Ground.LOOSE: 0.50,
    Ground.FIRM: 0.43,
    Ground.GRAVEL: 0.34,
    Ground.CLAY: 0.35,
    Ground.BOULDER_CLAY: 0.28,
}
TRENCH_M3_PER_H = {
    Ground.LOOSE: 0.66,
    Ground.FIRM: 0.57,
    Ground.CLAY: 0.46,
    Ground.BOULDER_CLAY: 0.38,
}


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole with upright sides.

    Raises:
        ValueError: a side is not above 0.
    """

    length_ft: float
    width_in: float
    depth_in: float

    def __post_init__(self) -> None:
        for name in ("length_ft", "width_in", "depth_in"):
            if not getattr(self, name) > 0:
                raise ValueError(f"Expected {name} > 0, got {getattr(self, name)}")

    @property
    def volume_yd3(self) -> float:
        """Cubic yards of soil that come out."""
        return self.length_ft * self.width_in / 12 * self.depth_in / 12 / CUFT_PER_YD3

    @property
    def is_beyond_the_figures(self) -> bool:
        """Whether it is deeper or larger than the holes that the figures were taken from."""
        area_sqft = self.length_ft * self.width_in / 12
        return self.depth_in / 12 > DEEPEST_OF_THE_FIGURES_FT or area_sqft > LARGEST_PIT_SQFT


@dataclass(frozen=True, slots=True)
class Hours:
    """Man-hours from the lowest to the highest figure found.

    Raises:
        ValueError: the low end is below 0 or above the high one.
    """

    low_h: float
    high_h: float

    def __post_init__(self) -> None:
        if not 0 <= self.low_h <= self.high_h:
            raise ValueError(f"Expected 0 <= low_h <= high_h, got {self.low_h}, {self.high_h}")


def man_hours_per_yd3(ground: Ground, *, is_trench: bool = False) -> float:
    """Return man-hours to dig a cubic yard by hand, from the table of m3 an hour.

    Raises:
        UnableToEstimate: the table has no figure for this ground.
    """
    table = TRENCH_M3_PER_H if is_trench else PIT_M3_PER_H
    if ground not in table:
        kind = "trench" if is_trench else "pit"
        raise UnableToEstimate(
            f"No figure for a {kind} dug by hand in {ground}: take the hours of a like job."
        )
    return M3_PER_YD3 / table[ground]


def dig_hours(hole: Hole, ground: Ground | None = None) -> Hours:
    """Return the man-hours to dig a hole by hand.

    Args:
        ground: None = not known, so the whole range of 1.5 to 2.8 man-hours a cubic yard.

    Raises:
        UnableToEstimate: there is no figure for this ground.
    """
    low = LEAST_H_PER_YD3 if ground is None else man_hours_per_yd3(ground)
    return Hours(low * hole.volume_yd3, DIG_H_PER_YD3_MOST * hole.volume_yd3)


def fill_hours(hole: Hole) -> float:
    """Return the man-hours to fill a hole and compact it by hand; one figure was found."""
    return FILL_H_PER_YD3 * hole.volume_yd3


class LineKind(StrEnum):
    """What a line of a quote is for."""

    LABOUR = "labour"
    STANDBY = "standby"
    PARTS = "parts"


@dataclass(frozen=True, slots=True)
class QuoteLine:
    """A quantity at a price each: hours at an hourly rate, or pieces. Money has two places.

    Raises:
        ValueError: the quantity or the price is below 0 or no number.
    """

    kind: LineKind
    quantity: Decimal
    price: Decimal

    def __post_init__(self) -> None:
        for name in ("quantity", "price"):
            value: Decimal = getattr(self, name)
            if not value.is_finite() or value < 0:
                raise ValueError(f"Expected {name} >= 0, got {value}")

    @property
    def amount(self) -> Decimal:
        """The money of the line, half a cent upward; the quantity itself is never rounded."""
        return amount_of(self.quantity, self.price)


@dataclass(frozen=True, slots=True)
class Quote:
    """Lines whose amounts, each rounded once, add up to the total."""

    lines: tuple[QuoteLine, ...]

    @property
    def total(self) -> Decimal:
        """The sum of the lines as they are printed."""
        return sum_of([line.amount for line in self.lines])


def quote_for(
    *,
    labour_hours: Sequence[Decimal],
    labour_rate: Decimal,
    standby_hours: Decimal = Decimal(0),
    standby_rate: Decimal = Decimal(0),
    parts: Sequence[QuoteLine] = (),
) -> Quote:
    """Return a quote: all labour on one line, standing by on one where there is any, then parts.

    Args:
        labour_hours: of each task, unrounded; `exact_hours` makes them of an estimate.
        standby_hours: waiting beside others who dig.
    """
    lines = [QuoteLine(LineKind.LABOUR, sum(labour_hours, Decimal(0)), labour_rate)]
    if standby_hours:
        lines.append(QuoteLine(LineKind.STANDBY, standby_hours, standby_rate))
    return Quote((*lines, *parts))


def exact_hours(hours: float) -> Decimal:
    """Return estimated hours for a quote, as they read, unrounded."""
    return Decimal(repr(hours))
