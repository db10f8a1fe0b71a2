"""Exact constants of water in US units, and what they make of depth, flow and area.

Sources: 1 US gallon = 231 cubic inches (NIST Handbook 44, appendix C, found in a copy); all
others follow exactly. The familiar 0.62, 96.3 and 748 are these, rounded.
"""

from sites.cells.engines.units import GALLONS_PER_PRICE_UNIT

CUBIC_INCHES_PER_GAL = 231
GAL_PER_IN_SQFT = 144 / CUBIC_INCHES_PER_GAL
# Inches an hour from gallons a minute over square feet: 60 x 231 / 144, exactly.
IN_PER_H_SQFT_PER_GPM = 60 * CUBIC_INCHES_PER_GAL / 144
GAL_PER_UNIT = {name: float(gallons) for name, gallons in GALLONS_PER_PRICE_UNIT.items()}
M3_PER_GAL = 1 / GAL_PER_UNIT["m3"]


def flow_gpm(precipitation_rate_in_per_h: float, area_sqft: float) -> float:
    """Return the flow that a precipitation rate over an area stands for."""
    return precipitation_rate_in_per_h * area_sqft / IN_PER_H_SQFT_PER_GPM


def stuck_open_gal(flow: float, hours: float) -> float:
    """Return what runs out of a valve that stays open, gallons. Kept apart from any schedule."""
    if flow < 0 or hours < 0:
        raise ValueError(f"Expected flow and hours >= 0, got {flow} and {hours}")
    return flow * 60 * hours
