"""The verbs on what serves a station: another wire, a spare, or its neighbour's wire."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from sites.ground.forms.ground import DayAndWhyForm
from sites.ground.views.ground_help import sent, station_to_change
from sites.kernel.access import SignedInRequest, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_help import station_crumbs, today_at
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.models import Station, Wiring
from sites.wires.forms import DoubleForm, ServeForm, SpareForm
from sites.wires.services.doubling import double_stations, undo_doubling
from sites.wires.services.serving import move_back, move_to_spare, serve_station
from sites.wires.services.told import (
    hot_wires_of,
    neighbours_of,
    spares_for,
    wire_state,
    wires_that_served,
)


@page_for(Action.CHANGE_GROUND)
def station_wire(request: SignedInRequest, ref: str) -> HttpResponse:
    """Which wire serves a station, and what can be done about it."""
    station = station_to_change(request, ref)
    context = {
        "station": station,
        "heading": _("The wire of %s") % station,
        "crumbs": station_crumbs(station),
        "is_two_wire": station.controller.wiring == Wiring.TWO_WIRE,
        "feeds": wires_that_served(station),
        **wire_state(station),
    }
    return render(request, "sites/ground/station_wire.html", context)


@page_for(Action.CHANGE_GROUND)
def station_serve(request: SignedInRequest, ref: str) -> HttpResponse:
    """Say which wire serves a station."""
    station = station_to_change(request, ref)
    today = today_at(station.controller.property)
    wires = hot_wires_of(station.controller.property)
    form = ServeForm(sent(request), wires=wires, initial={"on": today})

    def act(data: dict[str, Any]) -> str:
        serve_station(station=station, today=today, **data)
        return _("The wire of %s is kept.") % station

    return _page(
        request,
        station,
        form,
        act,
        heading=_("Which wire serves %s?") % station,
        button=_("Keep this wire"),
        lead=_("For a new wire, or to put right what the register says. A spare that takes over, "
               "and a neighbour's wire, have pages of their own."),
    )  # fmt: skip


@page_for(Action.CHANGE_GROUND)
def station_spare(request: SignedInRequest, ref: str) -> HttpResponse:
    """Move a station to a spare wire."""
    station = station_to_change(request, ref)
    today = today_at(station.controller.property)
    spares = spares_for(station)
    form = SpareForm(sent(request), spares=spares, initial={"on": today})

    def act(data: dict[str, Any]) -> str:
        move_to_spare(station=station, today=today, **data)
        return _("%s is served by its spare now. Prove it from central, then return it.") % station

    lead = _("The spare takes over the station's terminal; the old wire stays in the ground, "
             "out of use and suspected broken.")  # fmt: skip
    return _page(
        request,
        station,
        form,
        act,
        heading=_("Move %s to a spare") % station,
        button=_("Move it"),
        lead=lead if spares else _("No spare of this controller is registered and free."),
        caution=_(
            "Switch the controller off first. Its mains side is for those who are licensed for it."
        ),
    )


@page_for(Action.CHANGE_GROUND)
def station_move_back(request: SignedInRequest, ref: str) -> HttpResponse:
    """Move a station back to the wire it had."""
    station = station_to_change(request, ref)
    today = today_at(station.controller.property)
    form = DayAndWhyForm(sent(request), initial={"on": today})

    def act(data: dict[str, Any]) -> str:
        move_back(station=station, today=today, **data)
        return _("%s is served by its earlier wire again.") % station

    return _page(
        request,
        station,
        form,
        act,
        heading=_("Move %s back") % station,
        button=_("Move it back"),
        lead=_("To the wire that served it before. On the day of the move itself this takes back "
               "a mistake; later on, both moves stay in the history."),
    )  # fmt: skip


@page_for(Action.CHANGE_GROUND)
def station_double(request: SignedInRequest, ref: str) -> HttpResponse:
    """Double a station with its neighbour."""
    station = station_to_change(request, ref)
    today = today_at(station.controller.property)
    form = DoubleForm(sent(request), neighbours=neighbours_of(station), initial={"on": today})

    def act(data: dict[str, Any]) -> str:
        double_stations(station=station, today=today, **data)
        return _("%s runs with its neighbour, for a time.") % station

    return _page(
        request,
        station,
        form,
        act,
        heading=_("Double %s with a neighbour") % station,
        button=_("Double the two"),
        lead=_("Both valves open together, so pressure and run times must allow it. What stands "
               "in for the station now is taken out on that day."),
    )  # fmt: skip


@page_for(Action.CHANGE_GROUND)
def station_undouble(request: SignedInRequest, ref: str) -> HttpResponse:
    """Undo a doubling."""
    station = station_to_change(request, ref)
    today = today_at(station.controller.property)
    form = DayAndWhyForm(sent(request), initial={"on": today})

    def act(data: dict[str, Any]) -> str:
        undo_doubling(station=station, today=today, **data)
        return _("%s is on a wire of its own again.") % station

    return _page(
        request,
        station,
        form,
        act,
        heading=_("Undo the doubling of %s") % station,
        button=_("Undo it"),
        lead=_("If its own wire is still broken, fit a stopgap next."),
    )


def _page(
    request: SignedInRequest,
    station: Station,
    form: forms.BaseForm,
    act: Callable[[dict[str, Any]], str],
    **words: Any,
) -> HttpResponse:
    page = VerbPage(
        back=reverse("reports:station", args=[station.ref]),
        watched=[station, *station.feeds.order_by("pk")],
        act=act,
        crumbs=[
            *station_crumbs(station),
            (reverse("sites:station_wire", args=[station.ref]), _("Its wire")),
        ],
        **words,
    )
    return verb_page(request, form, page)
