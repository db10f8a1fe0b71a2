"""How long the search of a fault takes: for quotes, and for jobs that are planned."""

from datetime import date
from math import ceil

from faults.events import SearchTime, SearchTimeAsked
from faults.locating.engines.belief import Contradiction
from faults.locating.engines.line import UnusableLine
from faults.locating.engines.minutes import Minutes, minutes_of
from faults.locating.services.line import NoLine
from faults.locating.services.states import state_of
from faults.models import CLOSED_STAGES, Fault, Search

# People plan by five minutes.
ROUNDED_TO_MIN = 5


def search_minutes(fault: Fault, *, today: date) -> Minutes | None:
    """Return how long the search of the fault's first open station takes; None = not known."""
    rows = fault.stations.exclude(stage__in=CLOSED_STAGES).select_related("station__controller")
    row = rows.order_by("station__controller__name", "station__number", "pk").first()
    if row is None:
        return None
    search = Search.objects.open().filter(fault=fault, station=row.station).first()
    try:
        return minutes_of(state_of(fault, row.station, search, today=today).searcher)
    except (NoLine, UnusableLine, Contradiction, LookupError):
        return None


def answer_search_time(question: SearchTimeAsked) -> SearchTime | None:
    """Return the minutes of a fault's search, rounded up as people plan; None = not known."""
    found = search_minutes(question.fault, today=question.today)
    if found is None:
        return None
    return SearchTime(_planned(found.mean), _planned(found.nine_of_ten))


def _planned(minutes: float) -> int:
    return max(ROUNDED_TO_MIN, ceil(minutes / ROUNDED_TO_MIN) * ROUNDED_TO_MIN)
