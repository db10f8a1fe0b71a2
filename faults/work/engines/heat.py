"""Work in heat: bands of the heat index, water to drink, and the first days of a new worker.

Sources, all seen in copies:
- OSHA's older guide, docslib.org/doc/11368942: bands of the heat index.
- MICA, July 2022, citing OSHA: 8 oz every 15 to 20 min, at most 48 oz an hour.
- OSHA alert at wccchamber.com: a fifth of the day at first, at most a fifth more each day.
- ehssafetynewsamerica.com: full sun adds up to 15 F.
"""

from dataclasses import dataclass
from enum import StrEnum

CUP_OZ = 8
MOST_OZ_PER_HOUR = 48
FULL_SUN_ADDS_F = 15.0
AFTERNOON_ADDS_F = 15.0
FIRST_DAY_SHARE = 0.2
MORE_EACH_DAY = 0.2


class HeatBand(StrEnum):
    """Risk by the heat index, least first."""

    LOWER = "lower"
    MODERATE = "moderate"
    HIGH = "high"
    VERY_HIGH = "very high"


@dataclass(frozen=True, slots=True)
class WaterToDrink:
    """Ounces for one person: a cup every 20 min, every 15 min, and never more than `most_oz`."""

    low_oz: float
    high_oz: float
    most_oz: float


def heat_band(heat_index_f: float, *, in_full_sun: bool = False) -> HeatBand:
    """Return the band of a heat index in F; where two bands touch, the graver one.

    Args:
        in_full_sun: add the most that full sun adds: the index is given for shade.

    Raises:
        ValueError: the index is no number.
    """
    felt = heat_index_f + (FULL_SUN_ADDS_F if in_full_sun else 0)
    if felt != felt:
        raise ValueError(f"Expected a heat index, got {heat_index_f}")
    if felt > 115:
        return HeatBand.VERY_HIGH
    if felt >= 103:
        return HeatBand.HIGH
    return HeatBand.MODERATE if felt >= 91 else HeatBand.LOWER


def is_hot_work(mean_f: float | None) -> bool:
    """Return whether a day of this mean temperature calls for the advice on heat.

    Afternoons are warmer than the mean by `AFTERNOON_ADDS_F`, our own choice; from the band above
    the lowest on, the advice is given. What is not known is no heat: the crew ticks it.
    """
    if mean_f is None:
        return False
    return heat_band(mean_f + AFTERNOON_ADDS_F) is not HeatBand.LOWER


def water_to_drink(hours: float) -> WaterToDrink:
    """Return what one person drinks over some hours of work in heat.

    Raises:
        ValueError: the hours are not above 0.
    """
    if not hours > 0:
        raise ValueError(f"Expected hours > 0, got {hours}")
    return WaterToDrink(CUP_OZ * 3 * hours, CUP_OZ * 4 * hours, MOST_OZ_PER_HOUR * hours)


def most_of_a_day(day_in_heat: int) -> float:
    """Return the largest share of a full day in heat for a worker new to it.

    Args:
        day_in_heat: 1 = the first day. Nearly three of four deaths by heat fall in the first
            week (same alert).

    Raises:
        ValueError: the day is below 1.
    """
    if day_in_heat < 1:
        raise ValueError(f"Expected day_in_heat >= 1, got {day_in_heat}")
    return min(1.0, FIRST_DAY_SHARE + MORE_EACH_DAY * (day_in_heat - 1))
