"""What programs read of the work: faults, visits, what is due, hotspots and decisions."""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import Annotated, Any

from django.http import HttpRequest
from django.utils import timezone
from ninja import Path, Query

from faults import models as work
from faults.due.queries import due_rows
from faults.work.queries.jobs import jobs_listed
from reports.api.queries import faults_with_stations
from reports.api.services.paging import page_of_rows
from reports.api.services.rows import named_station, report_row
from reports.api.services.shapes import Decided, Due, Fault, Hotspot, IssuedReport, Job, Page
from reports.api.views.door import router, signed_in
from reports.api.views.reads import Code, Cursor, Limit, one_page, place_of, reading
from reports.decisions.queries import decisions_for
from reports.hotspots.queries import places_in_view
from reports.hotspots.services.ranking import look
from reports.hotspots.services.scope import Family, Scope
from reports.issued.queries import reports_for
from sites.kernel.access import find
from sites.kernel.engines.roles import Action
from sites.models import Property
from sites.register.queries.stations import latest_today


@router.get(
    "/faults",
    response=Page[Fault],
    auth=reading(Action.SEE_FAULTS),
    tags=["read"],
    operation_id="faults",
)
def faults(
    request: HttpRequest,
    is_open: Annotated[bool | None, Query(description="Only open ones, or only closed.")] = None,
    limit: Limit = 100,
    cursor: Cursor = "",
    property: Code = "",  # noqa: A002
) -> dict[str, Any]:
    """Faults with their stations and stages."""
    user = signed_in(request).user
    rows = faults_with_stations(user, today=latest_today(timezone.now()))
    if place := place_of(user, property, Action.SEE_FAULTS):
        rows = rows.filter(property=place)
    if is_open is not None:
        closed = rows.filter(stage__in=work.CLOSED_STAGES).values("pk")
        rows = rows.exclude(pk__in=closed) if is_open else rows.filter(pk__in=closed)
    return one_page(page_of_rows(rows, cursor=cursor, limit=limit), fault_shape)


def fault_shape(fault: Any) -> dict[str, Any]:
    """Return a fault, read with its stations, as it is sent."""
    stations: Iterable[Any] = fault.in_order
    paid = fault.seen_penalty
    return {
        "ref": fault.ref,
        "key": fault.key,
        "property_code": fault.property.code,
        "reported_on": fault.reported_on,
        "symptom": fault.symptom,
        "runs_with": str(fault.runs_with) if fault.runs_with else None,
        "stage": fault.stage,
        "summary": fault.summary,
        "promised_on": fault.promised_on,
        "promised_from": fault.promised_from,
        "promised_until": fault.promised_until,
        "closed_on": fault.closed_on,
        "paid_to_client": None if paid is None else float(paid),
        "currency": None if paid is None else fault.seen_currency or None,
        "stations": [{**named_station(each.station), "stage": each.stage} for each in stations],
    }


@router.get(
    "/faults/{ref:ref}",
    response=Fault,
    auth=reading(Action.SEE_FAULTS),
    tags=["read"],
    operation_id="fault",
)
def fault(request: HttpRequest, ref: Annotated[str, Path()]) -> dict[str, Any]:
    """One fault."""
    today = latest_today(timezone.now())
    return fault_shape(find(faults_with_stations(signed_in(request).user, today=today), ref=ref))


@router.get(
    "/jobs", response=Page[Job], auth=reading(Action.SEE_WORK), tags=["read"], operation_id="jobs"
)
def jobs(
    request: HttpRequest,
    from_on: Annotated[date | None, Query(description="Only on this day or later.")] = None,
    limit: Limit = 100,
    cursor: Cursor = "",
    property: Code = "",  # noqa: A002
) -> dict[str, Any]:
    """Visits, planned and made."""
    user = signed_in(request).user
    rows = jobs_listed(user)
    if place := place_of(user, property, Action.SEE_WORK):
        rows = rows.filter(property=place)
    if from_on is not None:
        rows = rows.filter(day__gte=from_on)
    return one_page(page_of_rows(rows, cursor=cursor, limit=limit), _job)


def _job(job: work.Job) -> dict[str, Any]:
    return {
        "ref": job.ref,
        "property_code": job.property.code,
        "kind": job.kind,
        "state": job.state,
        "fault_ref": job.fault and job.fault.ref,
        "crew": job.crew and job.crew.name,
        "day": job.day,
        "due_on": job.due_on,
        "expected_minutes": job.expected_minutes,
        "actual_minutes": job.actual_minutes,
    }


@router.get(
    "/due", response=Page[Due], auth=reading(Action.SEE_WORK), tags=["read"], operation_id="due"
)
def due(
    request: HttpRequest,
    limit: Limit = 100,
    cursor: Cursor = "",
    property: Code = "",  # noqa: A002
) -> dict[str, Any]:
    """What falls due and is not done."""
    user = signed_in(request).user
    rows = due_rows(user).filter(state=work.FollowUpState.OPEN)
    if place := place_of(user, property, Action.SEE_WORK):
        rows = rows.filter(property=place)
    return one_page(page_of_rows(rows, cursor=cursor, limit=limit), _due)


def _due(row: work.FollowUp) -> dict[str, Any]:
    return {
        "ref": row.ref,
        "property_code": row.property.code,
        "kind": row.kind,
        "what": row.what,
        "due_on": row.due_on,
        "state": row.state,
        "done_on": row.done_on,
        "station_ref": row.station and row.station.ref,
        "fault_ref": row.fault and row.fault.ref,
        "job_ref": row.job and row.job.ref,
    }


@router.get(
    "/hotspots",
    response=list[Hotspot],
    auth=reading(Action.SEE_HOTSPOTS),
    tags=["read"],
    operation_id="hotspots",
)
def hotspots(request: HttpRequest, limit: Limit = 100, property: Code = "") -> list[dict[str, Any]]:  # noqa: A002
    """Legs by how surely faults come back there, the surest first."""
    user = signed_in(request).user
    place = place_of(user, property, Action.SEE_HOTSPOTS)
    places: Sequence[Property] = [place] if place else places_in_view(user)
    scope = Scope(timezone.localdate() + timedelta(days=1), None, Family.ALL)
    return [_hotspot(row) for row in look(places, scope).rows[:limit]]


def _hotspot(row: Any) -> dict[str, Any]:
    return {
        "leg_ref": row.ref,
        "leg": row.name,
        "property_code": row.place.code,
        "faults": row.counted,
        "length_ft": row.feet,
        "years": row.years,
        "rate": row.rate,
        "rate_low": row.limits.low,
        "rate_high": row.limits.high,
        "times_the_rest": row.ratio,
        "is_flagged": row.is_flagged,
    }


@router.get(
    "/decisions",
    response=Page[Decided],
    auth=reading(Action.SEE_HOTSPOTS),
    tags=["read"],
    operation_id="decisions",
)
def decisions(
    request: HttpRequest,
    limit: Limit = 100,
    cursor: Cursor = "",
    property: Code = "",  # noqa: A002
) -> dict[str, Any]:
    """What was decided on legs."""
    user = signed_in(request).user
    rows = decisions_for(user)
    if place := place_of(user, property, Action.SEE_HOTSPOTS):
        rows = rows.filter(leg__property=place)
    return one_page(page_of_rows(rows, cursor=cursor, limit=limit), _decided)


def _decided(row: Any) -> dict[str, Any]:
    return {
        "leg_ref": row.leg.ref,
        "property_code": row.leg.property.code,
        "choice": row.choice,
        "why": row.why,
        "decided_on": row.decided_on,
        "look_again_on": row.look_again_on,
        "taken_back_on": row.taken_back_on,
    }


@router.get(
    "/reports",
    response=Page[IssuedReport],
    auth=reading(Action.SEE_REPORTS),
    tags=["read"],
    operation_id="reports",
)
def reports(
    request: HttpRequest,
    limit: Limit = 100,
    cursor: Cursor = "",
    property: Code = "",  # noqa: A002
) -> dict[str, Any]:
    """Reports as issued, with the addresses of their pages."""
    user = signed_in(request).user
    rows = reports_for(user)
    if place := place_of(user, property, Action.SEE_REPORTS):
        rows = rows.filter(property=place)
    return one_page(page_of_rows(rows, cursor=cursor, limit=limit), report_row)
