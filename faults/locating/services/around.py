"""What is known of a search besides its tests: what was mended, how long it may take."""

from datetime import datetime

from faults.cases.engines.stages import Stage
from faults.cases.services.spending import spending_of
from faults.locating.engines.cases import About
from faults.locating.engines.options import Stand
from faults.locating.services.beliefs import SYMPTOMS
from faults.locating.services.line import SearchGround
from faults.models import Fault, Search, Symptom
from sites.models import Station


def about(
    fault: Fault,
    station: Station,
    search: Search | None,
    ground: SearchGround,
    *,
    at: datetime,
    stand: Stand,
) -> About:
    """Return it; minutes count from the search's start to now, or to its end."""
    minutes = 0.0
    if search is not None:
        minutes = ((search.ended_at or at) - search.started_at).total_seconds() / 60
    return About(
        symptom=SYMPTOMS[Symptom(fault.symptom)],
        soil_is_dry=bool(search and search.soil_is_dry),
        minutes=minutes,
        budget_min=_budget_min(fault, at, search),
        mended_leg=_mended_leg(fault, station, ground),
        stand=stand,
    )


def _budget_min(fault: Fault, at: datetime, search: Search | None) -> float | None:
    """Minutes that this search may take: what earlier visits left of the limit.

    Its own minutes run within its visit, so that one is left out. One person searches; a crew of
    two spends twice as fast, which the sheet's count shows.
    """
    left = spending_of(fault, at=at, besides=search.job if search else None).left_man_min
    return None if left is None else max(0.0, left)


def _mended_leg(fault: Fault, station: Station, ground: SearchGround) -> int | None:
    """The leg of this wire that was mended last, while the station is still dead."""
    if not fault.stations.filter(station=station, stage=Stage.FOUND.value).exists():
        return None
    leg = (
        fault.breaks.filter(mended_on__isnull=False, leg__in=ground.legs)
        .order_by("-mended_on", "-running_number")
        .values_list("leg_id", flat=True)
        .first()
    )
    return None if leg is None else ground.legs.index(leg)
