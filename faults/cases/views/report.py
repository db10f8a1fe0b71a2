"""Report a fault: from the list, from a property, from a station. Correct what was reported."""

from typing import Any

from django.http import HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.utils.translation import gettext as _

from faults.access import faults_for, roles_on
from faults.cases.forms.report import CorrectReportForm, ReportForm
from faults.cases.queries import stations_offered
from faults.cases.services.report import UnableToReportTwice, correct_report, report_fault
from faults.cases.views.common import crumbs_of, fault_url, posted, today_at
from faults.models import Fault
from sites.kernel.access import (
    SignedInRequest,
    find,
    page_for,
    properties_for,
    roles_of,
    stations_for,
)
from sites.kernel.engines.roles import Action, Role
from sites.kernel.views.verb_help import property_crumbs
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.models import Property, Station
from sites.models.property import PropertyQuerySet

MOST_PROPERTIES_OFFERED = 400


@page_for(Action.REPORT_FAULT)
def report(request: SignedInRequest) -> HttpResponse:
    """Report a fault, the property typed with the rest; who has one property need not."""
    places = properties_for(request.user, Action.REPORT_FAULT).in_care().order_by("code", "pk")
    few = list(places[:2])
    return _report(request, places, few[0] if len(few) == 1 else None)


@page_for(Action.REPORT_FAULT)
def report_on_property(request: SignedInRequest, ref: str) -> HttpResponse:
    """Report a fault on this property."""
    places = properties_for(request.user, Action.REPORT_FAULT)
    return _report(request, places, find(places, ref=ref))


@page_for(Action.REPORT_FAULT)
def report_on_station(request: SignedInRequest, ref: str) -> HttpResponse:
    """Report a fault on this station; others of the property may be added."""
    stations = stations_for(request.user, Action.REPORT_FAULT)
    station = find(stations.select_related("controller__property"), ref=ref)
    places = properties_for(request.user, Action.REPORT_FAULT)
    return _report(request, places, station.controller.property, station)


def _report(
    request: SignedInRequest,
    places: PropertyQuerySet,
    place: Property | None,
    station: Station | None = None,
) -> HttpResponse:
    roles = roles_on(request.user, place) if place else roles_of(request.user)
    today = today_at(place) if place else timezone.localdate()
    form = ReportForm(
        posted(request),
        places=places,
        place=place,
        today=today,
        plainly=roles == {Role.CLIENT},
        initial={"stations": str(station)} if station else None,
    )
    reported: list[Fault] = []

    def act(data: dict[str, Any]) -> str:
        reported.append(_keep(request, form, data["place"]))
        return _("Fault %s is reported.") % reported[0]

    page = VerbPage(
        heading=_("Report a fault on %s") % place if place else _("Report a fault"),
        button=_("Report this fault"),
        back=_back(place, station),
        watched=[],
        act=act,
        crumbs=property_crumbs(place) if place else [(reverse("faults:faults"), _("Faults"))],
        template="faults/verbs/report.html",
        after=lambda: fault_url(reported[0]),
        extra=_offered(places, place),
    )
    return verb_page(request, form, page)


def _keep(request: SignedInRequest, form: ReportForm, place: Property) -> Fault:
    try:
        return report_fault(
            place=place,
            stations=form.cleaned_data["stations"],
            report=form.report(),
            by=request.user,
            at=timezone.now(),
            today=today_at(place),
        )
    except UnableToReportTwice as twice:
        twice.args = (
            format_html('{} <a href="{}">{}</a>', twice, fault_url(twice.fault), twice.fault),
        )
        raise


def _offered(places: PropertyQuerySet, place: Property | None) -> dict[str, Any]:
    if place is not None:
        return {"stations_known": stations_offered(place)}
    return {"places": places[:MOST_PROPERTIES_OFFERED]}


def _back(place: Property | None, station: Station | None) -> str:
    if station is not None:
        return reverse("reports:station", args=[station.ref])
    return reverse("reports:property", args=[place.ref]) if place else reverse("faults:faults")


@page_for(Action.RECORD_BREAK)
def correct(request: SignedInRequest, ref: str) -> HttpResponse:
    """Correct what was reported."""
    faults = faults_for(request.user, Action.RECORD_BREAK)
    fault = find(faults.select_related("property"), ref=ref)
    form = CorrectReportForm(posted(request), fault=fault)

    def act(data: dict[str, Any]) -> str:
        today = today_at(fault.property)
        correct_report(fault=fault, report=form.report(), why=data["why"], today=today)
        return _("Corrected. History keeps what was reported before.")

    page = VerbPage(
        heading=_("Correct what was reported of %s") % fault,
        button=_("Correct it"),
        back=fault_url(fault),
        watched=[fault],
        act=act,
        crumbs=crumbs_of(fault),
        template="faults/verbs/form.html",
    )
    return verb_page(request, form, page)
