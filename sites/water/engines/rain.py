"""Effective rain: the part of it that plants can use, by several conventions.

Sources: a flat half is a convention of the trade (from memory, no source). By event: a state
university's irrigation pages (texaset.tamu.edu, found). The monthly rule of the USDA's soil
service in millimetres: rdrr.io/cran/FAO56 (found); the one with soil and need in inches: found in
the docstring of a library that cites the National Engineering Handbook, part 623, chapter 2.
"""

from collections.abc import Callable, Iterable

HALF = 0.5


def half(rain: float) -> float:
    """Return half of the rain, in its own unit."""
    return HALF * rain


def by_event_in(events_in: Iterable[float]) -> float:
    """Return what several falls of rain give: the first 0.1 in of each, and all above 2, is lost.

    Between 0.1 and 1 in it counts in full, between 1 and 2 in by two thirds.
    """
    return sum(
        max(0.0, min(depth, 1.0) - 0.1) + max(0.0, min(depth, 2.0) - 1.0) * 2 / 3
        for depth in events_in
    )


def usda_month_mm(rain_mm: float) -> float:
    """Return the effective rain of a month, mm, by the simple rule."""
    if rain_mm <= 250:
        return rain_mm * (125 - 0.2 * rain_mm) / 125
    return 125 + 0.1 * rain_mm


def usda_month_in(rain_in: float) -> float:
    """Return the effective rain of a month, inches, by the simple rule."""
    return usda_month_mm(rain_in * 25.4) / 25.4


def usda_month_with_soil_in(rain_in: float, need_in: float, usable_depth_in: float) -> float:
    """Return the effective rain of a month, inches, by what the soil can hold and plants use.

    Args:
        usable_depth_in: water that the soil holds for the plants between two waterings.
    """
    soil = (
        0.531747
        + 0.295164 * usable_depth_in
        - 0.057697 * usable_depth_in**2
        + 0.003804 * usable_depth_in**3
    )
    found: float = soil * (0.70917 * rain_in**0.82416 - 0.11556) * 10 ** (0.02426 * need_in)
    return min(max(found, 0.0), rain_in, need_in)


# By the names that the setting EFFECTIVE_RAIN takes: inches of a month in and out.
BY_NAME: dict[str, Callable[[float], float]] = {
    "half": half,
    "usda month": usda_month_in,
    "none": lambda _rain_in: 0.0,
}
