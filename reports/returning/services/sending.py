"""The chosen set sent to the board's tray: a visit for each fault and place, by the verb."""

from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from faults.access import faults_for, jobs_for
from faults.models import OPEN_JOB_STATES, Fault, Job, JobKind, JobState
from faults.work.services.defaults import facts_for, search_time
from faults.work.services.planning import plan_job, withdraw_job
from sites.kernel.access import stations_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, as_one_change, stamps_of
from sites.models import Run, Station, User, today_at


@dataclass
class Sent:
    """What came of it: visits planned, visits that were planned already, and what was refused."""

    planned: list[Job] = field(default_factory=list)
    there: list[Job] = field(default_factory=list)
    refused: list[tuple[str, str]] = field(default_factory=list)


# A visit goes for one fault, or without one for what is done at one property.
_Key = tuple[str, str, str]


def send_to_tray(*, run: Run, chosen: Collection[str], by: User, at: datetime) -> Sent:
    """Plan a visit for each group of the chosen stations, in one transaction, each by its verb.

    A fault, or a station, that has an open visit of the kind keeps it: nothing is planned twice.

    Args:
        chosen: references of stations of the run's set.
    """
    sent = Sent()
    with as_one_change():
        kept = Run.objects.select_for_update().get(pk=run.pk)
        for key, refs in _groups(kept.result["in"], chosen).items():
            try:
                with transaction.atomic():
                    _send(sent, key, refs, by=by, at=at)
            except UnableToAct as refusal:
                sent.refused.append((", ".join(sorted(refs.values())), str(refusal)))
        stamps = stamps_of(sent.planned)
        kept.result["sent"] = kept.result.get("sent", []) + [
            {"job": job.ref, "stamp": stamps[job.pk]} for job in sent.planned
        ]
        kept.save(update_fields=["result"])
    return sent


def _groups(rows: list[dict[str, Any]], chosen: Collection[str]) -> dict[_Key, dict[str, str]]:
    found: dict[_Key, dict[str, str]] = {}
    for row in rows:
        if row["station"] in chosen and row["kind"]:
            key = (row["place"], row["fault"], row["kind"])
            found.setdefault(key, {})[row["station"]] = row["name"]
    return found


def _send(sent: Sent, key: _Key, refs: dict[str, str], *, by: User, at: datetime) -> None:
    fault_ref, kind = key[1], JobKind(key[2])
    stations = list(
        stations_for(by, Action.PLAN_JOBS)
        .filter(ref__in=refs)
        .select_related("controller__property")
        .order_by("pk")
    )
    fault = faults_for(by, Action.PLAN_JOBS).filter(ref=fault_ref).first() if fault_ref else None
    if len(stations) < len(refs) or (fault_ref and fault is None):
        raise UnableToAct(_("No longer there, or not yours to change."))
    if (job := _open_visit(by, kind, fault, stations)) is not None:
        sent.there.append(job)
        return
    place = stations[0].controller.property
    today = today_at(place, at)
    sent.planned.append(
        plan_job(
            place=place,
            kind=kind.value,
            facts=facts_for(kind, fault, search_time(kind, fault, today)),
            fault=fault,
            stations=stations,
            by=by,
            today=today,
        )
    )


def _open_visit(
    by: User, kind: JobKind, fault: Fault | None, stations: list[Station]
) -> Job | None:
    """Return an open visit of the kind that goes for this already."""
    rows = jobs_for(by).filter(kind=kind.value, state__in=OPEN_JOB_STATES)
    if fault is not None:
        return rows.filter(fault=fault).order_by("pk").first()
    rows = rows.filter(fault=None, property=stations[0].controller.property_id)
    for job in rows.prefetch_related("stations").order_by("pk"):
        if {one.pk for one in stations} <= {one.pk for one in job.stations.all()}:
            return job
    return None


@dataclass
class TakenBack:
    """How many visits were withdrawn again, and how many stay as someone changed them since."""

    withdrawn: int = 0
    left: list[Job] = field(default_factory=list)


def take_back(*, run: Run, by: User, at: datetime) -> TakenBack:
    """Withdraw the visits that this set sent, as far as nobody has touched them since."""
    found = TakenBack()
    with as_one_change():
        kept = Run.objects.select_for_update().get(pk=run.pk)
        stamp_of = {each["job"]: each["stamp"] for each in kept.result.get("sent", [])}
        jobs = list(jobs_for(by, Action.PLAN_JOBS).filter(ref__in=stamp_of).order_by("pk"))
        now = stamps_of(jobs)
        for job in jobs:
            if job.state != JobState.PLANNED or now[job.pk] != stamp_of[job.ref]:
                found.left.append(job)
                continue
            today = today_at(job.property, at)
            withdraw_job(job=job, why=_("Taken back: Return first"), by=by, at=at, today=today)
            found.withdrawn += 1
        kept.result["sent"] = []
        kept.save(update_fields=["result"])
    return found
