"""What the tests of the register's verbs start from, and how they look at what came of it."""

from datetime import date, timedelta
from typing import Any

from sites.models import Spell, Station
from sites.stopgaps.engines.spells import Reason
from sites.stopgaps.services.stopgap_rules import StopgapFacts

DAY = date(2025, 3, 1)
TODAY = date(2025, 6, 15)


def day(number: int) -> date:
    """Return the n-th day of the tests' calendar."""
    return DAY + timedelta(days=number)


def timer(on: date | None = DAY, **other: Any) -> StopgapFacts:
    """Return a battery timer that was fitted on a known day because of the wire."""
    facts: dict[str, Any] = {
        "kind": "battery timer",
        "fitted": (on, on) if on else None,
        "reason": Reason.WIRE.value,
    }
    return StopgapFacts(**{**facts, **other})


def spells(station: Station) -> list[tuple[date, date | None]]:
    """Return the station's spells as they stand."""
    rows = Spell.objects.filter(station=station).order_by("from_on")
    return list(rows.values_list("from_on", "to_on"))


def history(row: Any) -> list[tuple[str, str]]:
    """Return (kind of change, why) of each history row, oldest first."""
    rows = row.history.order_by("history_id")
    return [(each.history_type, each.history_change_reason or "") for each in rows]
