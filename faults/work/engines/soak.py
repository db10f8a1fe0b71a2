"""Soaking the soil before a dig: how much water, how long a run, and how many days before.

Sources:
- New Mexico State University, weather.nmsu.edu/models/irrsch/soiltype.html: field capacity and
  wilting point in % of weight, bulk density, final intake in cm/h.
- Waiting days: sand and loam the next day, clay 2 to 3 days (a university's page whose address
  was not seen). Clay loam waits as clay does: our own choice.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from math import ceil

IN_PER_CM = 1 / 2.54
IN_PER_FT = 12
GALLONS_PER_SQFT_IN = 1728 / 231 / IN_PER_FT
HOURS_PER_DAY = 24


class Texture(StrEnum):
    """Soil textures of the table, coarsest first."""

    SAND = "sand"
    LOAMY_SAND = "loamy sand"
    SANDY_LOAM = "sandy loam"
    LOAM = "loam"
    SILT_LOAM = "silt loam"
    CLAY_LOAM = "clay loam"
    CLAY = "clay"


@dataclass(frozen=True, slots=True)
class Soil:
    """What a soil holds and how fast it drinks: % of weight, density over water's, cm/h."""

    field_capacity_percent: float
    wilting_point_percent: float
    bulk_density: float
    intake_cm_per_h: float
    waiting_days: int

    @property
    def available_in_per_ft(self) -> float:
        """Inches of water that a foot of the soil holds for plants."""
        percent = self.field_capacity_percent - self.wilting_point_percent
        return percent / 100 * self.bulk_density * IN_PER_FT

    @property
    def intake_in_per_h(self) -> float:
        """Inches an hour that the soil takes in the end."""
        return self.intake_cm_per_h * IN_PER_CM


SOILS = {
    Texture.SAND: Soil(9.1, 3.9, 1.627, 9.536, waiting_days=1),
    Texture.LOAMY_SAND: Soil(11.6, 5.1, 1.584, 6.209, waiting_days=1),
    Texture.SANDY_LOAM: Soil(13.9, 6.2, 1.533, 2.691, waiting_days=1),
    Texture.LOAM: Soil(22.3, 10.2, 1.395, 1.034, waiting_days=1),
    Texture.SILT_LOAM: Soil(27.6, 12.5, 1.278, 0.513, waiting_days=1),
    Texture.CLAY_LOAM: Soil(26.4, 12.5, 1.354, 0.469, waiting_days=2),
    Texture.CLAY: Soil(35.1, 17.2, 1.262, 0.193, waiting_days=2),
}


@dataclass(frozen=True, slots=True)
class SoakRequest:
    """What to wet, and with what.

    Args:
        depth_in: to which the soil is to be moist: the cable's depth.
        share_missing: of the water the soil can hold, 0..1.
        efficiency: share of the water applied that stays in the soil, above 0 and up to 1.
        rate_in_per_h: precipitation rate of the sprinklers.
        area_sqft: of the strip that is wetted.

    Raises:
        ValueError: a value outside those bounds.
    """

    texture: Texture
    depth_in: float
    share_missing: float
    efficiency: float
    rate_in_per_h: float
    area_sqft: float

    def __post_init__(self) -> None:
        for name in ("depth_in", "efficiency", "rate_in_per_h", "area_sqft"):
            if not getattr(self, name) > 0:
                raise ValueError(f"Expected {name} > 0, got {getattr(self, name)}")
        if not 0 <= self.share_missing <= 1:
            raise ValueError(f"Expected share_missing in 0..1, got {self.share_missing}")
        if self.efficiency > 1:
            raise ValueError(f"Expected efficiency <= 1, got {self.efficiency}")


@dataclass(frozen=True, slots=True)
class Soak:
    """How much water, and how long it takes.

    Attributes:
        run_min: total minutes of running, pauses not counted.
        least_h: least hours in which the soil takes the water at its final intake.
        needs_pauses: the sprinklers give faster than the soil takes: run and pause in turns.
    """

    net_in: float
    gross_in: float
    run_min: float
    gallons: float
    least_h: float
    needs_pauses: bool

    @property
    def needs_more_than_a_day(self) -> bool:
        """Whether to warn: the soil cannot take this water within one day."""
        return self.least_h > HOURS_PER_DAY

    @property
    def days_of_soaking(self) -> int:
        """Days on which water is put on, at least one."""
        return max(1, ceil(self.least_h / HOURS_PER_DAY))


@dataclass(frozen=True, slots=True)
class SoakDays:
    """The first and the last day of soaking before a dig."""

    first: date
    last: date


def plan_soak(request: SoakRequest) -> Soak:
    """Return the water and the hours that a soak needs."""
    soil = SOILS[request.texture]
    net = soil.available_in_per_ft / IN_PER_FT * request.depth_in * request.share_missing
    gross = net / request.efficiency
    hours_on = gross / request.rate_in_per_h
    hours_in = gross / soil.intake_in_per_h
    return Soak(
        net_in=net,
        gross_in=gross,
        run_min=hours_on * 60,
        gallons=gross * request.area_sqft * GALLONS_PER_SQFT_IN,
        least_h=max(hours_on, hours_in),
        needs_pauses=request.rate_in_per_h > soil.intake_in_per_h,
    )


def soak_days(
    dig_on: date, texture: Texture, soak: Soak, *, waiting_days: int | None = None
) -> SoakDays:
    """Return the days of soaking before a dig.

    Args:
        waiting_days: whole days from the last soak to the dig; None = the texture's own.

    Raises:
        ValueError: fewer than 1 waiting day, so that water could stand in the open hole.
    """
    wait = _waiting_days(texture, waiting_days)
    last = dig_on - timedelta(days=wait)
    return SoakDays(last - timedelta(days=soak.days_of_soaking - 1), last)


def first_dig_day(
    soak_from: date, texture: Texture, soak: Soak, *, waiting_days: int | None = None
) -> date:
    """Return the first day to dig when soaking starts on a day; the inverse of `soak_days`."""
    wait = _waiting_days(texture, waiting_days)
    return soak_from + timedelta(days=soak.days_of_soaking - 1 + wait)


def is_moist_to_the_cable(*, rod_depth_in: float, cable_depth_in: float) -> bool:
    """Return whether a slim rod, pushed by hand, went as deep as the cable lies.

    It moves easily through moist soil and stops at dry. Source: Sunset, questia.com
    1G1-7605443.
    """
    if cable_depth_in <= 0 or rod_depth_in < 0:
        raise ValueError(
            f"Expected cable_depth_in > 0 and rod_depth_in >= 0, got {cable_depth_in}, "
            f"{rod_depth_in}"
        )
    return rod_depth_in >= cable_depth_in


def _waiting_days(texture: Texture, chosen: int | None) -> int:
    days = SOILS[texture].waiting_days if chosen is None else chosen
    if days < 1:
        raise ValueError(f"Expected waiting_days >= 1, got {days}")
    return days
