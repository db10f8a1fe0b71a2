"""Note something to do: at a property, at a station, at a fault."""

from typing import Any

from django.http import HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _

from faults.access import faults_for
from faults.cases.views.common import crumbs_of, fault_url, posted, today_at
from faults.due.forms import NoteForm
from faults.due.services.by_hand import raise_by_hand
from sites.kernel.access import SignedInRequest, find, page_for, properties_for, stations_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_help import property_crumbs, station_crumbs
from sites.kernel.views.verb_views import Crumbs
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.models import Property

MAY = Action.HANDLE_FOLLOW_UPS
# As long as a note may be.
LONGEST_OFFERED = 200


@page_for(MAY)
def note_at_property(request: SignedInRequest, ref: str) -> HttpResponse:
    """Note something to do at a property."""
    place = find(properties_for(request.user, MAY), ref=ref)
    back = reverse("reports:property", args=[place.ref])
    return _page(request, place, back, property_crumbs(place), {})


@page_for(MAY)
def note_at_station(request: SignedInRequest, ref: str) -> HttpResponse:
    """Note something to do at a station."""
    stations = stations_for(request.user, MAY).select_related("controller__property")
    station = find(stations, ref=ref)
    back = reverse("reports:station", args=[station.ref])
    crumbs = station_crumbs(station)
    return _page(request, station.controller.property, back, crumbs, {"station": station})


@page_for(MAY)
def note_at_fault(request: SignedInRequest, ref: str) -> HttpResponse:
    """Note something to do about a fault."""
    fault = find(faults_for(request.user, MAY).select_related("property"), ref=ref)
    return _page(request, fault.property, fault_url(fault), crumbs_of(fault), {"fault": fault})


def _page(
    request: SignedInRequest,
    place: Property,
    back: str,
    crumbs: Crumbs,
    about: dict[str, Any],
) -> HttpResponse:
    today = today_at(place)

    def act(data: dict[str, Any]) -> str:
        row = raise_by_hand(place=place, by=request.user, today=today, **about, **data)
        return _("Noted for %(day)s: %(what)s.") % {
            "day": row.due_on.isoformat(),
            "what": row.what,
        }

    page = VerbPage(
        heading=_("Note something to do: %s") % crumbs[-1][1],
        button=_("Note it"),
        back=back,
        watched=[],
        act=act,
        crumbs=crumbs,
        lead=_("It shows under Due, and in calendars, until somebody has done it."),
    )
    offered = {"what": request.GET.get("what", "")[:LONGEST_OFFERED]}
    form = NoteForm(posted(request), place=place, today=today, initial=offered)
    return verb_page(request, form, page)
