"""Faults: the list, and one with its stations, breaks and moves."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.access import faults_for, roles_on
from faults.cases.engines.stages import CLOSED, Stage
from faults.cases.forms.filters import FaultFilter
from faults.cases.queries import (
    assignments_of,
    authorities_of,
    breaks_of,
    claims_of,
    faults_listed,
    moves_of,
    photos_of,
    proofs_of,
    stations_of,
)
from faults.cases.services.moves import SOUGHT
from faults.cases.services.spending import spending_of
from faults.cases.services.stays_on import stays_on_words
from faults.cases.tables import FaultTable
from faults.casework.views.fault_many import FaultMany
from faults.casework.views.steps import offers_of
from faults.models import CLOSED_STAGES, STAGE_CHOICES, Fault, FaultStation
from faults.notices.views.notices import notices_and_questions
from faults.prices.services.holding import prices_at
from faults.quotes.services.listed import listed
from faults.waits.queries.waits import waits_of_fault
from faults.waits.views.next_moves import moving_on
from faults.work.queries.jobs import open_jobs_of_fault
from faults.work.services.spending_words import spent_words
from sites.kernel.access import SignedInRequest, actions_anywhere, actions_on, find, may, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.history import history_of
from sites.models import today_at
from sites.register.views.lists import list_page


@page_for(Action.SEE_FAULTS)
def faults(request: SignedInRequest) -> HttpResponse:
    """All faults, newest first."""
    return list_page(
        request,
        heading=_("Faults"),
        none_yet=_("No fault was reported yet."),
        rows=faults_listed(request.user),
        filter_class=FaultFilter,
        table_class=FaultTable,
        many=FaultMany,
        **_add_link(request),
        further=_further(request),
    )


def _further(request: SignedInRequest) -> list[tuple[str, str]]:
    if Action.SEE_WORK not in actions_anywhere(request.user):
        return []
    return [(reverse("faults:searches"), _("Searches"))]


def _add_link(request: SignedInRequest) -> dict[str, Any]:
    if Action.REPORT_FAULT not in actions_anywhere(request.user):
        return {}
    return {"add_url": reverse("faults:report"), "add_label": _("Report a fault")}


@page_for(Action.SEE_FAULTS)
def fault(request: SignedInRequest, ref: str) -> HttpResponse:
    """One fault."""
    one = find(
        faults_for(request.user).select_related("property", "runs_with__controller"), ref=ref
    )
    context = {
        "fault": one,
        "place": one.property,
        "may_here": actions_on(request.user, one.property),
        "stays_on_words": stays_on_words(one) if one.wastes_water() else "",
        "moves": moves_of(one),
        "way": _way(Stage(one.stage)),
        "authorities": authorities_of(one),
        **_proofs(one),
        "assigned": [each for each in assignments_of(one) if each.to_on is None],
        **_jobs(request, one),
        "may_record": one.stage not in (Stage.GIVEN_UP, Stage.WITHDRAWN),
        **_quotes(request, one),
        **_stations(request, one),
        **_breaks(request, one),
        **_photos(one),
    }
    context |= _sought(request, one, context["stations"])
    if may(request.user, Action.SEE_WORK, one.property):
        context |= notices_and_questions(one, context["stations"], at=timezone.now())
    if may(request.user, Action.SEE_HISTORY, one.property):
        sees_prices = may(request.user, Action.SEE_RATES, one.property)
        context["history"] = history_of(one, for_few=sees_prices)
    return render(request, "faults/fault.html", context)


def _proofs(one: Fault) -> dict[str, object]:
    proofs = proofs_of(one)
    measured = {
        "ohms": any(each.ohms_id for each in proofs),
        "megohms": any(each.insulation_id for each in proofs),
        "current": any(each.current_ma is not None for each in proofs),
    }
    return {"proofs": proofs, "measured": measured}


def _jobs(request: SignedInRequest, one: Fault) -> dict[str, object]:
    """A client does not see jobs."""
    if not may(request.user, Action.SEE_WORK, one.property):
        return {}
    sees_prices = may(request.user, Action.SEE_RATES, one.property)
    spent = spending_of(one, at=timezone.now(), in_money=sees_prices)
    words = spent_words(spent, sees_prices=sees_prices)
    currency = spent.currency
    if sees_prices and one.penalty is not None and not currency:
        currency = prices_at(one.property, today_at(one.property)).currency
    return {
        "open_jobs": open_jobs_of_fault(request.user, one),
        "promised": list(one.promises.select_related("station__controller").order_by("-pk")),
        "spent_words": words,
        "currency": currency,
    }


def _quotes(request: SignedInRequest, one: Fault) -> dict[str, object]:
    """The versions of its quote, for those who may see prices."""
    if not may(request.user, Action.SEE_RATES, one.property):
        return {}
    return {"quotes": listed(one, today=today_at(one.property))}


def _sought(request: SignedInRequest, one: Fault, rows: list[FaultStation]) -> dict[str, object]:
    """The stations whose break is not found yet: their likelihood is fetched by itself."""
    if not may(request.user, Action.SEE_WORK, one.property):
        return {}
    return {"sought": [row for row in rows if Stage(row.stage) in SOUGHT]}


def _way(stage: Stage) -> list[object]:
    closed_otherwise = CLOSED - {Stage.RETURNED}
    if stage in closed_otherwise:
        return []
    return [choice for choice in STAGE_CHOICES if Stage(choice[0]) not in closed_otherwise]


def _stations(request: SignedInRequest, one: Fault) -> dict[str, object]:
    rows = stations_of(one)
    steps, station_rows = offers_of(one, rows, roles_on(request.user, one.property))
    waits = waits_of_fault(one)
    for row in rows:
        row.wait = waits.get(row.station_id)  # type: ignore[attr-defined]
    found: dict[str, Any] = {
        "stations": rows,
        "station_rows": station_rows,
        "steps": steps,
        "waits": waits,
    }
    on_central = any(row.stage not in CLOSED_STAGES and row.wait is None for row in rows)  # type: ignore[attr-defined]
    if waits or on_central:
        found |= moving_on(request.user, one, here=request.path, on_central=on_central)
    return found


def _breaks(request: SignedInRequest, one: Fault) -> dict[str, object]:
    breaks = breaks_of(one)
    claims = claims_of(breaks, one.property)
    earlier = [claim.earlier.fault_id for claim in claims]
    openable = faults_for(request.user).filter(pk__in=earlier) if earlier else []
    return {"breaks": breaks, "claims": claims, "openable": {fault.pk for fault in openable}}


def _photos(one: Fault) -> dict[str, Any]:
    photos = photos_of(one)
    return {
        "photos": [photo for photo in photos if photo.hidden_on is None],
        "hidden_photos": [photo for photo in photos if photo.hidden_on],
    }
