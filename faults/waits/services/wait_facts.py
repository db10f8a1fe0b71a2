"""The facts from which a station's wait follows: read for many stations in few queries."""

import zoneinfo
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Max, Q
from django.utils import timezone

from faults.cases.engines.stages import CLOSED, Stage
from faults.models import Asked, FaultStation, Job, JobKind, StageMove
from faults.models.kind import looks_for_fault
from faults.readings.services.bring_home import sound_days
from faults.readings.services.loop_facts import newest_loops
from faults.waits.engines.waits import Consent, Facts
from faults.waits.services.notice_states import ticket_states
from faults.work.engines.kinds import REPAIRS
from faults.work.engines.visits import Held, Purpose, Visit, VisitState
from sites.models import SpellPart
from sites.stopgaps.engines.spells import Reason

PURPOSES: dict[str, Purpose] = {
    JobKind.LOCATE: Purpose.LOOK,
    JobKind.CHECK_UP: Purpose.LOOK,
    JobKind.WALK: Purpose.LOOK,
    JobKind.BRING_HOME: Purpose.LOOK,
    JobKind.INSPECTION: Purpose.LOOK,
    JobKind.TWO_WIRE: Purpose.LOOK,
    **dict.fromkeys(REPAIRS, Purpose.DIG),
    JobKind.RETURN: Purpose.BRING_BACK,
}
CONSENTS = {"": Consent.ASKED, "yes": Consent.AGREED, "no": Consent.REFUSED}


@dataclass(frozen=True)
class Known:
    """One station off central: the facts of its wait, and the faults that they tell of."""

    facts: Facts
    fault_id: int | None
    closed_fault_id: int | None = None


def facts_of(station_ids: Collection[int], *, at: datetime) -> dict[int, Known]:
    """Return the facts of those of the stations that are off central control now."""
    return facts_from(_open_parts(station_ids, at))


def facts_from(parts: dict[int, dict[str, Any]]) -> dict[int, Known]:
    """Return the facts of stations by their keys, beside those that are given: what day it is
    there, since when it is off and why."""
    rows = _fault_rows(parts)
    in_hand = {pk: row for pk, (row, _) in rows.items() if row is not None}
    moved = _moved_on(row for pair in rows.values() for row in pair if row is not None)
    fault_ids = {row.fault_id for row in in_hand.values()}
    visits = _visits({pk: row.fault_id for pk, row in in_hand.items()}, parts)
    asked = _asked(fault_ids)
    tickets = _tickets(in_hand, parts)
    sound = _sound(parts)
    known = {}
    for pk, part in parts.items():
        row, closed = rows.get(pk, (None, None))
        facts: dict[str, Any] = {**part, "visits": tuple(visits[pk]), "sound_on": sound.get(pk)}
        if closed is not None:
            facts["closed_as"] = Stage(closed.stage)
            facts["closed_on"] = moved.get(closed.pk) or closed.fault.closed_on
        if row is not None:
            facts |= {
                "stage": Stage(row.stage),
                "moved_on": moved.get(row.pk) or row.fault.reported_on,
                "enable_asked_on": row.enable_asked_on,
                **asked.get(row.fault_id, {}),
                **tickets.get(row.fault_id, {}),
            }
        known[pk] = Known(
            Facts(**facts), row.fault_id if row else None, closed.fault_id if closed else None
        )
    return known


def _sound(parts: dict[int, dict[str, Any]]) -> dict[int, date]:
    """Return the day of the bring-home test by which each wire is sound today, by its own day."""
    by_day: dict[date, list[int]] = defaultdict(list)
    for pk in newest_loops(parts):
        by_day[parts[pk]["today"]].append(pk)
    found: dict[int, date] = {}
    for today, ids in sorted(by_day.items()):
        found |= sound_days(ids, today=today)
    return found


def _open_parts(station_ids: Collection[int], at: datetime) -> dict[int, dict[str, Any]]:
    rows = SpellPart.objects.open().filter(station__in=station_ids, spell__to_on__isnull=True)
    return {
        pk: {
            "today": timezone.localdate(at, zoneinfo.ZoneInfo(zone)),
            "off_since": off_since,
            "reason": Reason(reason),
            "reason_since": reason_since,
            "chosen_until": chosen_until,
        }
        for pk, reason, reason_since, off_since, chosen_until, zone in rows.values_list(
            "station_id",
            "reason",
            "from_on",
            "spell__from_on",
            "stopgap__agreed_until",
            "station__controller__property__time_zone",
        )
    }


Pair = tuple[FaultStation | None, FaultStation | None]


def _fault_rows(station_ids: Iterable[int]) -> dict[int, Pair]:
    """Return each station's oldest open fault, as every page shows it, and the last one closed."""
    found: dict[int, Pair] = {}
    rows = FaultStation.objects.filter(station__in=list(station_ids)).select_related("fault")
    for row in rows.order_by("-fault__reported_on", "-pk"):
        still, closed = found.get(row.station_id, (None, None))
        if Stage(row.stage) in CLOSED:
            found[row.station_id] = (still, closed or row)
        else:
            found[row.station_id] = (row, closed)
    return found


def _moved_on(rows: Iterable[FaultStation]) -> dict[int, date]:
    moves = StageMove.objects.filter(fault_station__in=[row.pk for row in rows], on__isnull=False)
    return dict(moves.order_by().values_list("fault_station").annotate(last=Max("on")))


def _visits(fault_of: dict[int, int], station_ids: Iterable[int]) -> dict[int, list[Visit]]:
    """A job that names stations is for those; one that names none is for all of its fault."""
    of_faults = Q(fault__in=set(fault_of.values()))
    of_stations = Q(fault__isnull=True, stations__in=list(station_ids))
    jobs = list(
        Job.objects.filter(of_faults | of_stations, kind__in=PURPOSES)
        .select_related("property", "fault")
        .distinct()
        .order_by("pk")
    )
    named: dict[int, set[int]] = defaultdict(set)
    links = Job.stations.through.objects.filter(job__in=[job.pk for job in jobs])
    for job_id, station_id in links.values_list("job_id", "station_id"):
        named[job_id].add(station_id)
    stations_of: dict[int, set[int]] = defaultdict(set)
    for station_id, fault_id in fault_of.items():
        stations_of[fault_id].add(station_id)
    visits: dict[int, list[Visit]] = defaultdict(list)
    for job in jobs:
        for station_id in named[job.pk] or stations_of[job.fault_id or 0]:
            visits[station_id].append(_visit(job))
    return visits


def _visit(job: Job) -> Visit:
    zone = zoneinfo.ZoneInfo(job.property.time_zone)
    return Visit(
        purpose=Purpose.LOOK if looks_for_fault(job.kind, job.fault) else PURPOSES[job.kind],
        state=VisitState(job.state),
        day=job.day,
        ended_on=timezone.localdate(job.ended_at, zone) if job.ended_at else None,
        held=Held(job.held_for) if job.held_for else None,
        held_since=job.held_since,
        number=job.pk,
    )


def _asked(fault_ids: Collection[int]) -> dict[int, dict[str, object]]:
    """Return the open question of each fault, or the last answer."""
    found: dict[int, dict[str, object]] = {}
    rows = Asked.objects.filter(fault__in=fault_ids).order_by("asked_on", "pk")
    for row in sorted(rows, key=lambda row: row.answer == ""):
        consent = CONSENTS[row.answer]
        found[row.fault_id] = {"consent": consent, "consent_on": row.answered_on or row.asked_on}
    return found


def _tickets(
    rows: dict[int, FaultStation], parts: dict[int, dict[str, Any]]
) -> dict[int, dict[str, object]]:
    """Return how the notice of each fault that is about to be dug stands, by its own day.

    At one moment it is one of three days at most, wherever the properties lie.
    """
    by_day: dict[date, set[int]] = defaultdict(set)
    for pk, row in rows.items():
        if row.stage == Stage.AGREED:
            by_day[parts[pk]["today"]].add(row.fault_id)
    return {
        fault_id: {"ticket": state, "ticket_on": since, "ticket_clear_on": clear_on}
        for today, fault_ids in sorted(by_day.items())
        for fault_id, (state, since, clear_on) in ticket_states(fault_ids, today=today).items()
    }
