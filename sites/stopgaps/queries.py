"""Reads of the stopgaps that stand behind a master valve."""

from collections.abc import Iterable
from typing import Any

from django.db.models import QuerySet

from sites.models import (
    Station,
    Stopgap,
    StopgapKind,
)

MOST_STOPGAPS = 60


def standing_behind(
    station_ids: Iterable[int] | QuerySet[Any], *, only_open: bool = False
) -> list[Stopgap]:
    """Return the stopgaps of these stations through which water may come, newest first."""
    rows = Stopgap.objects.off_central().exclude(kind=StopgapKind.SHUT_OFF)
    rows = rows.filter(station__in=station_ids)
    if only_open:
        rows = rows.open()
    named = rows.select_related("station__controller")
    return list(named.order_by("-counted_from", "-pk")[:MOST_STOPGAPS])


def open_behind_the_same_main(station: Station) -> list[Stopgap]:
    """Return the open stopgaps of the other stations behind its main that nobody asked about."""
    beside = Station.objects.filter(depends_on=station.depends_on_id).exclude(pk=station.pk)
    rows = standing_behind(beside.values("pk"), only_open=True)
    return [gap for gap in rows if not gap.main_valve]
