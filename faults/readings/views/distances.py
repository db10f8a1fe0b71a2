"""How far away is it broken: a page for each method, and one for depth."""

from uuid import uuid4

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.access import searches_for
from faults.models import ReadingKind
from faults.readings.engines.depth import Depth, UnableToTellDepth
from faults.readings.forms.distances import DepthForm, TwoHeightsForm, feet_per_unit
from faults.readings.forms.how_far import VALVE, DistanceForm
from faults.readings.services.depth_words import why_no_depth
from faults.readings.services.distance_methods import BY_KEY, METHODS, Method
from faults.readings.services.distances import Answer, measure, way_of
from faults.readings.services.readings import take_reading
from sites.kernel.access import SignedInRequest, find, page_for, stations_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct
from sites.models import Station, today_at
from sites.templatetags.register import feet


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
    way, place = way_of(station), station.controller.property
    form = DistanceForm(request.POST or None, method=chosen, way=way, units=place.units)
    answer = None
    if request.method == "POST" and form.is_valid():
        try:
            answer = measure(chosen, way, form.cleaned_data, form.wire())
            if "keep" in request.POST:
                _keep(request, station, chosen, answer)
                messages.success(request, _("The distance is kept with the station's readings."))
                return redirect("reports:station", ref=station.ref)
        except UnableToAct as refusal:
            form.add_error(refusal.field if refusal.field in form.fields else None, str(refusal))
    shown: dict[str, object] = {"station": station, "place": place, "method": chosen, "form": form}
    if answer:
        shown |= {"answer": answer, "has_route": bool(way.steps)}
        shown |= _for_search(request, station, answer)
    status = 422 if form.errors else 200
    return render(request, "faults/readings/distance.html", shown, status=status)


def _for_search(request: SignedInRequest, station: Station, answer: Answer) -> dict[str, object]:
    """The search of this wire that goes on, and what its page of a distance takes of the answer."""
    going = searches_for(request.user, Action.TAKE_READINGS).open().filter(station=station)
    ft = feet_per_unit(station.controller.property.units)
    return {
        "search": going.select_related("fault").first(),
        "said": {
            "feet": round(answer.found.feet / ft, 2),
            # Below a hundredth would be typed as 0, which says that nobody knows.
            "spread": max(round(answer.found.error_ft / ft, 2), 0.01),
            "end": VALVE if answer.wire.is_from_valve else "",
            "farthest": "yes" if answer.found.is_upper_bound else "",
            "taken_at": timezone.localtime().strftime("%Y-%m-%dT%H:%M"),
            "once": uuid4(),
        },
    }


def _keep(request: SignedInRequest, station: Station, method: Method, answer: Answer) -> None:
    place = station.controller.property
    take_reading(
        station=station,
        kind=ReadingKind.DISTANCE,
        value=round(answer.from_controller_ft, 1),
        taken_on=today_at(place),
        today=today_at(place),
        by=request.user,
        notes=_("%(method)s, give or take %(error)s")
        % {"method": method.name, "error": feet(answer.found.error_ft, place)},
    )


@page_for(Action.TAKE_READINGS)
def depth(request: SignedInRequest, ref: str) -> HttpResponse:
    """How deep the wire lies, from offsets at 45 degrees or from readings at two heights."""
    station = _station(request, ref)
    place = station.controller.property
    is_by_heights = request.GET.get("by") == "heights"
    form = (TwoHeightsForm if is_by_heights else DepthForm)(request.POST or None, units=place.units)
    found = None
    if request.method == "POST" and form.is_valid():
        try:
            found = form.depth()
        except UnableToTellDepth as refusal:
            form.add_error(None, why_no_depth(refusal.why, refusal.asymmetry))
    context = {
        "station": station,
        "place": place,
        "form": form,
        "found": found,
        "is_by_heights": is_by_heights,
        **(_in_inches(found) if found else {}),
        "back": reverse("reports:station", args=[station.ref]),
    }
    return render(
        request, "faults/readings/depth.html", context, status=422 if form.errors else 200
    )


def _in_inches(found: Depth) -> dict[str, float]:
    low, high = found.ninety_percent_ft
    inches = {"depth": found.depth_ft, "low": low, "high": high, "shift": abs(found.shift_ft or 0)}
    return {f"{name}_in": max(feet, 0.0) * 12 for name, feet in inches.items()}
