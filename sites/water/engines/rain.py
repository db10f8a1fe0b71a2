"""Effective rain: the part of it that plants can use, by several conventions.

Sources: a flat half is a convention of the trade (from memory, no source). The
monthly rule of the USDA's soil service in millimetres: rdrr.io/cran/FAO56 (found).
"""

from collections.abc import Callable

HALF = 0.5


def half(rain: float) -> float:
    """Return half of the rain, in its own unit."""
    return HALF * rain


def usda_month_mm(rain_mm: float) -> float:
    """Return the effective rain of a month, mm, by the simple rule."""
    if rain_mm <= 250:
        return rain_mm * (125 - 0.2 * rain_mm) / 125
    return 125 + 0.1 * rain_mm


def usda_month_in(rain_in: float) -> float:
    """Return the effective rain of a month, inches, by the simple rule."""
    return usda_month_mm(rain_in * 25.4) / 25.4


# By the names that the setting EFFECTIVE_RAIN takes: inches of a month in and out.
BY_NAME: dict[str, Callable[[float], float]] = {
    "half": half,
    "usda month": usda_month_in,
    "none": lambda _rain_in: 0.0,
}
