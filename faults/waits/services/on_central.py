"""What open faults wait on where their stations run from central control all the same.

A break that holds no station off, a valve that stays on, a station that runs weakly: nothing is
kept for them, as what a station waits on is the book of those that are off. The rule is the same,
and asked when a page shows them.
"""

from collections.abc import Collection
from dataclasses import replace
from datetime import datetime
from typing import Any

from django.db.models import Exists, OuterRef

from faults.models import CLOSED_STAGES, Fault, FaultStation, Job, Wait
from faults.waits.services.wait_facts import facts_from
from faults.waits.services.waits import row_of
from sites.models import SpellPart, today_at
from sites.stopgaps.engines.spells import Reason


def waits_on_central(faults: Collection[Fault], *, at: datetime) -> list[Wait]:
    """Return what the stations of these faults that are on central wait on; the rows are not kept.

    A station with an older open fault is told of there.
    """
    off = SpellPart.objects.open().filter(station=OuterRef("station"))
    rows = (
        FaultStation.objects.filter(~Exists(off), fault__in=faults)
        .exclude(stage__in=CLOSED_STAGES)
        .select_related("fault", "station__controller__property")
        .order_by("fault", "pk")
    )
    stations = {row.station_id: row.station for row in rows}
    parts = {row.station_id: _part(row, at) for row in rows}
    waits = [
        # There is no timer to take out, so no wire read sound brings anything home.
        row_of(station, replace(known, facts=replace(known.facts, sound_on=None)))
        for station, known in facts_from(parts).items()
    ]
    by_key = {fault.pk: fault for fault in faults}
    jobs = Job.objects.in_bulk({wait.job_id for wait in waits if wait.job_id})
    for wait in waits:
        wait.station, wait.on_central = stations[wait.station_id], True
        wait.fault = by_key.get(wait.fault_id) if wait.fault_id else None
        wait.job = jobs.get(wait.job_id) if wait.job_id else None
    return [wait for wait in waits if wait.fault is not None]


def _part(row: FaultStation, at: datetime) -> dict[str, Any]:
    return {
        "today": today_at(row.station.controller.property, at),
        "off_since": row.fault.reported_on,
        "reason": Reason.NOT_KNOWN,
        "reason_since": None,
        "chosen_until": None,
    }
