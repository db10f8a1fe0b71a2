"""How far away is it broken: a page for each method, and one for depth."""

from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.engines.depth import UnableToTellDepth, depth_from_offsets
from faults.engines.distance import Distance, ImpossibleDistance
from faults.forms.readings import DepthForm, DistanceForm
from faults.models import ReadingKind
from faults.services.distances import (
    BY_KEY,
    METHODS,
    Method,
    PlaceOnRoute,
    WireOfStation,
    place_on_route,
    wire_of,
)
from faults.services.readings import take_reading
from sites.access import SignedInRequest, find, page_for, stations_for
from sites.engines.roles import Action
from sites.models import Station
from sites.services.verbs import UnableToAct


@dataclass(frozen=True)
class Answer:
    """A distance and where on the station's route that is."""

    found: Distance
    place: PlaceOnRoute | None


def _station(request: SignedInRequest, ref: str) -> Station:
    rows = stations_for(request.user, Action.TAKE_READINGS)
    return find(rows.select_related("controller__property", "valve_point"), ref=ref)


@page_for(Action.TAKE_READINGS)
def methods(request: SignedInRequest, ref: str) -> HttpResponse:
    """Which method fits which symptom."""
    station = _station(request, ref)
    context = {"station": station, "place": station.controller.property, "methods": METHODS}
    return render(request, "faults/readings/methods.html", context)


@page_for(Action.TAKE_READINGS)
def distance(request: SignedInRequest, ref: str, method: str) -> HttpResponse:
    """One method: its hook-up, its values, the answer on the route; kept as a reading."""
    station = _station(request, ref)
    chosen = BY_KEY.get(method)
    if chosen is None:
        raise Http404
    wire, steps, legs, names = wire_of(station)
    form = DistanceForm(
        request.POST or None, method=chosen, length_ft=wire.length_ft if wire else None
    )
    answer = None
    if request.method == "POST" and form.is_valid():
        try:
            used = WireOfStation.with_length(wire, form.cleaned_data["length_ft"])
            found = chosen.compute(used, form.cleaned_data)
            answer = Answer(found, place_on_route(found.feet, steps, legs, names))
            if "keep" in request.POST:
                _keep(request, station, chosen, answer)
                return redirect("reports:station", ref=station.ref)
        except (ImpossibleDistance, UnableToAct) as refusal:
            form.add_error(None, str(refusal))
    context: dict[str, Any] = {
        "station": station,
        "place": station.controller.property,
        "method": chosen,
        "form": form,
        "answer": answer,
        "has_wire": wire is not None,
    }
    status = 422 if form.errors else 200
    return render(request, "faults/readings/distance.html", context, status=status)


def _keep(request: SignedInRequest, station: Station, method: Method, answer: Answer) -> None:
    reading = take_reading(
        station=station,
        kind=ReadingKind.DISTANCE,
        value=round(answer.found.feet, 1),
        taken_on=timezone.localdate(),
        today=timezone.localdate(),
        by=request.user,
        notes=_("%(method)s, give or take %(error)s ft")
        % {"method": method.name, "error": round(answer.found.error_ft)},
    )
    assert reading.pk


@page_for(Action.TAKE_READINGS)
def depth(request: SignedInRequest, ref: str) -> HttpResponse:
    """How deep the wire lies, from offsets at 45 degrees to both sides."""
    station = _station(request, ref)
    form = DepthForm(request.POST or None)
    found = None
    if request.method == "POST" and form.is_valid():
        try:
            found = depth_from_offsets(
                form.cleaned_data["left_ft"],
                form.cleaned_data["right_ft"],
                antenna_height_ft=form.cleaned_data["antenna_height_ft"],
            )
        except UnableToTellDepth as refusal:
            form.add_error(None, str(refusal))
    context = {
        "station": station,
        "place": station.controller.property,
        "form": form,
        "found": found,
        "back": reverse("reports:station", args=[station.ref]),
    }
    return render(
        request, "faults/readings/depth.html", context, status=422 if form.errors else 200
    )
