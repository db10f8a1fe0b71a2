"""The verbs on what serves a station: another wire, a spare, or its neighbour's wire."""

from functools import cached_property
from typing import Any, ClassVar

from django.db.models import Model
from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from sites.ground.forms.points_and_legs import DayAndWhyForm
from sites.kernel.access import SignedInRequest, find, page_for, stations_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_help import StationView, station_crumbs
from sites.kernel.views.verb_views import Crumbs, Text
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
    stations = stations_for(request.user, Action.CHANGE_GROUND)
    station = find(stations.select_related("controller__property", "valve_point"), ref=ref)
    context = {
        "station": station,
        "heading": _("The wire of %s") % station,
        "crumbs": station_crumbs(station),
        "is_two_wire": station.controller.wiring == Wiring.TWO_WIRE,
        "feeds": wires_that_served(station),
        **wire_state(station),
    }
    return render(request, "sites/ground/station_wire.html", context)


class _ServingView(StationView):
    form_class: ClassVar[type[Form]] = DayAndWhyForm
    starts_today = ("on",)

    def find(self) -> Station:
        stations = stations_for(self.user, self.may_do)
        rows = stations.select_related("controller__property", "valve_point")
        return find(rows, ref=self.kwargs["ref"])

    def get_watched(self) -> list[Model]:
        return [self.row, *self.row.feeds.order_by("pk")]

    def get_crumbs(self) -> Crumbs:
        own = (reverse("sites:station_wire", args=[self.row.ref]), _("Its wire"))
        return [*station_crumbs(self.row), own]


class StationServe(_ServingView):
    """Say which wire serves a station."""

    verb = serve_station
    form_class = ServeForm
    heading, button = _("Which wire serves %s?"), _("Keep this wire")
    lead = _(
        "For a new wire, or to put right what the register says. A spare that takes over, "
        "and a neighbour's wire, have pages of their own."
    )
    done = _("The wire of %s is kept.")

    def get_form_kwargs(self) -> dict[str, object]:
        return {**super().get_form_kwargs(), "wires": hot_wires_of(self.get_place())}


class StationSpare(_ServingView):
    """Move a station to a spare wire."""

    verb = move_to_spare
    form_class = SpareForm
    heading, button = _("Move %s to a spare"), _("Move it")
    caution = _(
        "Switch the controller off first. Its mains side is for those who are licensed for it."
    )
    done = _("%s is served by its spare now. Prove it from central, then return it.")

    @cached_property
    def spares(self) -> Any:
        """The wires that it could move to."""
        return spares_for(self.row)

    def get_form_kwargs(self) -> dict[str, object]:
        return {**super().get_form_kwargs(), "spares": self.spares}

    def get_lead(self) -> Text:
        if not self.spares:
            return _("No spare of this controller is registered and free.")
        return _(
            "The spare takes over the station's terminal; the old wire stays in the ground, "
            "out of use and suspected broken."
        )


class StationMoveBack(_ServingView):
    """Move a station back to the wire it had."""

    verb = move_back
    heading, button = _("Move %s back"), _("Move it back")
    lead = _(
        "To the wire that served it before. On the day of the move itself this takes back "
        "a mistake; later on, both moves stay in the history."
    )
    done = _("%s is served by its earlier wire again.")


class StationDouble(_ServingView):
    """Double a station with its neighbour."""

    verb = double_stations
    form_class = DoubleForm
    heading, button = _("Double %s with a neighbour"), _("Double the two")
    lead = _(
        "Both valves open together, so pressure and run times must allow it. What stands "
        "in for the station now is taken out on that day."
    )
    done = _("%s runs with its neighbour, for a time.")

    def get_form_kwargs(self) -> dict[str, object]:
        return {**super().get_form_kwargs(), "neighbours": neighbours_of(self.row)}


class StationUndouble(_ServingView):
    """Undo a doubling."""

    verb = undo_doubling
    heading, button = _("Undo the doubling of %s"), _("Undo it")
    lead = _("If its own wire is still broken, fit a stopgap next.")
    done = _("%s is on a wire of its own again.")
