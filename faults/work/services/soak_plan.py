"""A soak before a dig, computed and put into a reader's words."""

from dataclasses import dataclass
from datetime import date
from math import ceil

from django.utils.translation import gettext as _

from faults.work.engines.soak import SOILS, Soak, SoakRequest, first_dig_day, plan_soak, soak_days
from sites.cells.engines.units import IN_PER_CM
from sites.models import Property, Units

LITRES_PER_GALLON = 3.785411784
ROUNDS_MIN = 15


@dataclass(frozen=True)
class SoakPlan:
    """What to run, on which days, and what to beware of."""

    soak: Soak
    first_on: date
    last_on: date
    ready_on: date
    is_too_late: bool
    minutes: int
    water: str
    net: str
    gross: str
    least_h: int
    waiting_days: int
    rounds: int
    run_each_min: int
    pause_min: int


def soak_plan(request: SoakRequest, *, dig_on: date, today: date, place: Property) -> SoakPlan:
    """Return the whole plan for a day of work.

    Where the sprinklers give faster than the soil takes, water is given in rounds of a quarter
    of an hour at most, each followed by a pause in which the soil takes it in: the length of a
    round is common practice, no source.
    """
    soak = plan_soak(request)
    days = soak_days(dig_on, request.texture, soak)
    rounds, each, pause = _rounds(request, soak)
    return SoakPlan(
        soak=soak,
        first_on=days.first,
        last_on=days.last,
        ready_on=first_dig_day(max(today, days.first), request.texture, soak),
        is_too_late=days.first < today,
        minutes=ceil(soak.run_min - 1e-9),
        water=_water(soak.gallons, place),
        net=_depth(soak.net_in, place),
        gross=_depth(soak.gross_in, place),
        least_h=ceil(soak.least_h - 1e-9),
        waiting_days=SOILS[request.texture].waiting_days,
        rounds=rounds,
        run_each_min=each,
        pause_min=pause,
    )


def _rounds(request: SoakRequest, soak: Soak) -> tuple[int, int, int]:
    """Return how many runs of how many minutes, and the pause after each."""
    if not soak.needs_pauses or soak.run_min <= 0:
        return 1, ceil(soak.run_min - 1e-9), 0
    rounds = ceil(soak.run_min / ROUNDS_MIN)
    each = soak.run_min / rounds
    intake = SOILS[request.texture].intake_in_per_h
    pause = each * (request.rate_in_per_h / intake - 1)
    return rounds, ceil(each - 1e-9), ceil(pause - 1e-9)


def _water(gallons: float, place: Property) -> str:
    if place.units == Units.METRIC:
        return f"{gallons * LITRES_PER_GALLON:,.0f} L"
    return _("%s gal") % f"{gallons:,.0f}"


def _depth(inches: float, place: Property) -> str:
    if place.units == Units.METRIC:
        return f"{inches / float(IN_PER_CM) * 10:,.0f} mm"
    return f"{inches:,.2f} in"
