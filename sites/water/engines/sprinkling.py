"""Where a station's data come from: evenness by catch cans, run times, landscape budgets.

Efficiency (IE) and the scheduling multiplier both correct for uneven water: use one of them.
Volumes use the efficiency, advice on run times the multiplier.
Sources: lower quarter: ccuh.ucdavis.edu (found). Multiplier 1 / (0.4 + 0.6 DU): practice of the
trade, from memory; it follows from normal depths only. Budgets: 23 CCR 490-495, as printed by
cities (codelibrary.amlegal.com, found); the water budget of the EPA's label: approach found
(nepis.epa.gov), its equations from memory.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean

from sites.water.engines.constants import GAL_PER_IN_SQFT

# As the ordinance rounds it; the exact one is GAL_PER_IN_SQFT.
ORDINANCE_GAL_PER_IN_SQFT = 0.62
LABEL_GAL_PER_IN_SQFT = 0.6233
RESIDENTIAL_ETAF, OTHER_ETAF = 0.55, 0.45
RAIN_SHARE = 0.25


@dataclass(frozen=True)
class Evenness:
    """How evenly cans were filled: 1 is perfectly even."""

    mean: float
    low_quarter: float
    low_half: float
    christiansen: float


def evenness(caught: Sequence[float]) -> Evenness:
    """Return lower-quarter and lower-half evenness, and Christiansen's coefficient.

    Args:
        caught: what each can caught, in any one unit; a number of cans divisible by 4.

    Raises:
        ValueError: too few cans, not divisible by 4, or nothing was caught.
    """
    if len(caught) < 4 or len(caught) % 4:
        raise ValueError(f"Expected a number of cans divisible by 4, got {len(caught)}")
    mean = fmean(caught)
    if min(caught) < 0 or mean <= 0:
        raise ValueError("Expected cans that caught something, and none below 0")
    ordered = sorted(caught)
    spread = sum(abs(each - mean) for each in caught)
    return Evenness(
        mean,
        fmean(ordered[: len(ordered) // 4]) / mean,
        fmean(ordered[: len(ordered) // 2]) / mean,
        1 - spread / (mean * len(caught)),
    )


def rate_from_cans_in_per_h(mean_ml: float, opening_cm2: float, minutes: float) -> float:
    """Return the precipitation rate that the mean can shows."""
    if opening_cm2 <= 0 or minutes <= 0:
        raise ValueError(f"Expected opening and minutes > 0, got {opening_cm2} and {minutes}")
    return mean_ml / opening_cm2 / 2.54 * 60 / minutes


def multiplier(low_quarter: float) -> float:
    """Return by how much a run is lengthened so that its driest half gets the mean."""
    if not 0 < low_quarter <= 1:
        raise ValueError(f"Expected 0 < evenness <= 1, got {low_quarter}")
    return 1 / (0.4 + 0.6 * low_quarter)


def run_minutes(depth_in: float, rate_in_per_h: float, low_quarter: float = 1.0) -> float:
    """Return how long to run for a depth."""
    if rate_in_per_h <= 0:
        raise ValueError(f"Expected a rate > 0, got {rate_in_per_h}")
    return depth_in / rate_in_per_h * 60 * multiplier(low_quarter)


def allowance_gal(
    eto_in: float,
    area_sqft: float,
    special_sqft: float = 0.0,
    *,
    etaf: float = RESIDENTIAL_ETAF,
    rain_in: float = 0.0,
) -> float:
    """Return the yearly allowance of the ordinance (MAWA).

    Args:
        area_sqft: all of the landscape, the special areas included.
        etaf: share of reference evapotranspiration that the ordinance grants.
        rain_in: rain of the year; a quarter of it is taken off where the ordinance says so.
    """
    depth_in = eto_in - RAIN_SHARE * rain_in
    share = etaf * area_sqft + (1 - etaf) * special_sqft
    return depth_in * ORDINANCE_GAL_PER_IN_SQFT * share


@dataclass(frozen=True)
class Zone:
    """Plants of one factor, watered with one efficiency or evenness."""

    plant_factor: float
    efficiency: float
    area_sqft: float

    @property
    def weighted_sqft(self) -> float:
        """Area times factor over efficiency (ETAF x area)."""
        return self.plant_factor / self.efficiency * self.area_sqft


def estimated_use_gal(eto_in: float, zones: Sequence[Zone], special_sqft: float = 0.0) -> float:
    """Return the yearly use that the ordinance estimates (ETWU)."""
    weighted = sum(zone.weighted_sqft for zone in zones)
    return eto_in * ORDINANCE_GAL_PER_IN_SQFT * (weighted + special_sqft)


def average_etaf(zones: Sequence[Zone]) -> float:
    """Return the mean of ETAF over the zones' area."""
    return sum(zone.weighted_sqft for zone in zones) / sum(zone.area_sqft for zone in zones)


@dataclass(frozen=True)
class PeakMonth:
    """What the label's budget grants in the peak month, and what the landscape requires."""

    baseline_gal: float
    allowance_gal: float
    required_gal: float

    @property
    def passes(self) -> bool:
        """Whether the landscape keeps within its allowance."""
        return self.required_gal <= self.allowance_gal


def peak_month(eto_in: float, rain_in: float, zones: Sequence[Zone]) -> PeakMonth:
    """Return the label's budget; each zone's `efficiency` is its lower-quarter evenness."""
    area = sum(zone.area_sqft for zone in zones)
    baseline = eto_in * area * LABEL_GAL_PER_IN_SQFT
    rain = RAIN_SHARE * rain_in
    required = sum(
        multiplier(zone.efficiency)
        * (eto_in * zone.plant_factor - rain)
        * zone.area_sqft
        * LABEL_GAL_PER_IN_SQFT
        for zone in zones
    )
    return PeakMonth(baseline, 0.7 * baseline, required)


def site_demand_gal(eto_in: float, zones: Sequence[tuple[float, float]]) -> float:
    """Return what plants need over a time: (factor, area in sq ft) of each zone."""
    return eto_in * GAL_PER_IN_SQFT * sum(factor * area for factor, area in zones)
