"""What it costs a month to leave a fault's stations on their timers, from the meter."""

from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal

from faults.models import CLOSED_STAGES, Fault
from sites.water.services.ahead import if_it_stays

MONTHS = 12
YEAR = timedelta(days=365)
CENT = Decimal("0.01")


def month_on_a_timer(fault: Fault, *, today: date) -> tuple[Decimal | None, bool]:
    """Return a month's mean cost of water over the coming year, and whether it is "at least".

    None where a station has no open spell, or nothing is known of what it costs.
    """
    stations = list(
        fault.stations.exclude(stage__in=CLOSED_STAGES).values_list("station", flat=True)
    )
    later = if_it_stays(stations, until=today + YEAR, today=today)
    if later.cost is None or later.stations == 0:
        return None, False
    now = if_it_stays(stations, until=today, today=today)
    cost = Decimal(repr(later.cost - (now.cost or 0.0))) / MONTHS
    is_least = later.cost_is_least or later.stations < len(stations)
    return max(Decimal(0), cost).quantize(CENT, ROUND_HALF_UP), is_least
