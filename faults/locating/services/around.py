"""What is known of a search besides its tests: how long it may take."""

from datetime import datetime

from faults.cases.services.spending import spending_of
from faults.locating.engines.cases import About
from faults.locating.engines.options import Stand
from faults.locating.services.beliefs import SYMPTOMS
from faults.models import Fault, Search, Symptom


def about(
    fault: Fault,
    search: Search | None,
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
        stand=stand,
    )


def _budget_min(fault: Fault, at: datetime, search: Search | None) -> float | None:
    """Minutes that this search may take: what earlier visits left of the limit.

    Its own minutes run within its visit, so that one is left out. One person searches; a crew of
    two spends twice as fast, which the sheet's count shows.
    """
    left = spending_of(fault, at=at, besides=search.job if search else None).left_man_min
    return None if left is None else max(0.0, left)
