"""Readings: one in two taps, a controller's check-up and walk, and its overview."""

from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from faults.access import readings_for
from faults.models import ReadingKind
from faults.readings.forms.meter import NotOnAMeter, parse_value
from faults.readings.forms.readings import CheckUpForm, ReadingForm, VoidForm, WalkForm
from faults.readings.services.checkup import check_up, overview, stations_of, walk
from faults.readings.services.judging import expectations, judge_value
from faults.readings.services.readings import take_reading, void_reading
from sites.kernel.access import (
    SignedInRequest,
    actions_on,
    controllers_for,
    find,
    page_for,
    stations_for,
)
from sites.kernel.engines.roles import Action
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.models import Controller, Property, Station, Wiring, today_at
from sites.wires.engines.warmth import Warmth
from sites.wires.services.expected_volts import expected_load
from sites.wires.services.reading_limits import thresholds
from sites.wires.services.warmth import warmth_at


def _station(request: SignedInRequest, ref: str, action: Action) -> Station:
    rows = stations_for(request.user, action).select_related("controller__property")
    return find(rows, ref=ref)


def _controller(request: SignedInRequest, ref: str, action: Action) -> Controller:
    return find(controllers_for(request.user, action).select_related("property"), ref=ref)


def _crumbs(controller: Controller, *more: tuple[str, str]) -> list[tuple[str, str]]:
    place = controller.property
    return [
        (reverse("reports:property", args=[place.ref]), str(place)),
        (
            reverse("faults:readings", args=[controller.ref]),
            _("Readings of controller %s") % controller,
        ),
        *more,
    ]


@page_for(Action.TAKE_READINGS)
def reading_add(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take one reading of a station; the answer judges it at once."""
    station = _station(request, ref, Action.TAKE_READINGS)
    today = today_at(station.controller.property)
    form = ReadingForm(
        request.POST or None,
        place=station.controller.property,
        initial={"taken_on": today, "taken_by": request.user.get_full_name() or str(request.user)},
    )
    back = reverse("reports:station", args=[station.ref])

    def act(data: dict[str, Any]) -> str:
        expected, good = expectations([station])
        reading = take_reading(station=station, today=today, by=request.user, **data)
        own = None if reading.is_new_coil else good.get(station.pk)
        place = station.controller.property
        warmth = warmth_at(place, reading.taken_on, reading.temperature_f)
        judged = judge_value(reading.kind, reading.value, expected[station.pk], own, warmth)
        return _("Kept: %(word)s. %(advice)s") % {"word": judged.word, "advice": judged.advice}

    return verb_page(
        request,
        form,
        VerbPage(
            heading=_("A reading of %s") % station,
            button=_("Keep this reading"),
            back=back,
            watched=[],
            act=act,
            crumbs=_crumbs(station.controller, (back, str(station))),
            caution=_(
                "Ohms only with the output off and the wire off its terminal. "
                "The mains side of the controller is for licensed electricians. 24 V is not safe "
                "on wet skin. Insulation only with both ends free, and no more volts than the "
                "cable is rated for."
            ),
            template="faults/readings/add.html",
        ),
    )


@page_for(Action.TAKE_READINGS)
def reading_void(request: SignedInRequest, pk: int) -> HttpResponse:
    """Take a wrong reading out of every judgement."""
    reading = find(readings_for(request.user, Action.TAKE_READINGS), pk=pk)
    back = reverse("reports:station", args=[reading.station.ref])
    today = today_at(reading.station.controller.property)

    def act(data: dict[str, Any]) -> str:
        void_reading(reading=reading, why=str(data["why"]), today=today)
        return _("The reading is voided. It stays in the history.")

    return verb_page(
        request,
        VoidForm(request.POST or None),
        VerbPage(
            heading=_("Void the reading of %s") % reading.taken_on,
            button=_("Void it"),
            back=back,
            watched=[reading],
            act=act,
            crumbs=_crumbs(reading.station.controller, (back, str(reading.station))),
        ),
    )


@page_for(Action.SEE_REGISTER)
def readings(request: SignedInRequest, ref: str) -> HttpResponse:
    """All stations of a controller against what they should read, worst first."""
    controller = _controller(request, ref, Action.SEE_REGISTER)
    lines = overview(controller)
    context = {
        "controller": controller,
        "place": controller.property,
        "lines": lines,
        "look_total": sum(line.needs_a_look for line in lines),
        "measured_total": sum(line.latest is not None for line in lines),
        "may_here": actions_on(request.user, controller.property),
        "crumbs": _crumbs(controller)[:1],
        "is_two_wire": controller.wiring == Wiring.TWO_WIRE,
        "expected_load": expected_load(controller),
        "limits": thresholds(),
        "band_percent": thresholds().band * 100,
    }
    return render(request, "faults/readings/overview.html", context)


@page_for(Action.TAKE_READINGS)
def check_up_page(request: SignedInRequest, ref: str) -> HttpResponse:
    """The ohms of all stations of a controller in one screen."""
    controller = _controller(request, ref, Action.TAKE_READINGS)
    stations = stations_of(controller)
    today = today_at(controller.property)
    form = CheckUpForm(
        request.POST or None,
        stations=stations,
        place=controller.property,
        initial={"taken_on": today, "taken_by": request.user.get_full_name() or str(request.user)},
    )
    expected, good = expectations(stations)
    back = reverse("faults:readings", args=[controller.ref])

    def act(data: dict[str, Any]) -> str:
        kept = check_up(
            values=form.values(),
            taken_on=data["taken_on"],
            today=today,
            by=request.user,
            taken_by=data["taken_by"],
            temperature_f=data["temperature_f"],
        )
        return ngettext(
            "%s value kept; the worst stand first.",
            "%s values kept; the worst stand first.",
            len(kept),
        ) % len(kept)

    return verb_page(
        request,
        form,
        VerbPage(
            heading=_("Check up the wires of controller %s") % controller,
            button=_("Keep what is filled in"),
            back=back,
            watched=[],
            act=act,
            crumbs=_crumbs(controller),
            caution=_(
                "Disconnect the common and switch the stations off. The mains side is for "
                "licensed electricians; lock it out before you touch the terminals. 24 V is not "
                "safe on wet skin. Insulation only with both ends free, and no more volts than "
                "the cable is rated for."
            ),
            template="faults/readings/check_up.html",
            extra={
                "controller": controller,
                "rows": [
                    {
                        "station": station,
                        "ohms": form[f"{ReadingKind.OHMS}_{station.pk}"],
                        "insulation": form[f"{ReadingKind.INSULATION}_{station.pk}"],
                        "expected": expected[station.pk],
                        "own": good.get(station.pk),
                    }
                    for station in stations
                ],
            },
        ),
    )


@page_for(Action.TAKE_READINGS)
def judge(request: SignedInRequest, ref: str) -> HttpResponse:
    """Judge one typed value, as a fragment: nothing is written."""
    station = _station(request, ref, Action.TAKE_READINGS)
    kind = request.GET.get("kind", ReadingKind.OHMS)
    if kind not in ReadingKind.values:
        raise Http404
    words = next((str(v) for k, v in request.GET.items() if k.startswith(f"{kind}_")), "")
    context: dict[str, Any] = {}
    if words.strip():
        expected, good = expectations([station])
        try:
            value = parse_value(words, kind)
            own = good.get(station.pk)
            warmth = _typed_warmth(request, station.controller.property)
            context["judged"] = judge_value(kind, value, expected[station.pk], own, warmth)
        except NotOnAMeter as refusal:
            context["refusal"] = str(refusal)
    return render(request, "faults/readings/_judged.html", context)


def _typed_warmth(request: SignedInRequest, place: Property) -> Warmth:
    """Return the warmth by the temperature and the day typed so far, as far as they are any."""
    form = CheckUpForm(request.GET, stations=[], place=place)
    form.is_valid()
    on = form.cleaned_data.get("taken_on") or today_at(place)
    return warmth_at(place, on, form.cleaned_data.get("temperature_f"))


@page_for(Action.TAKE_READINGS)
def walk_page(request: SignedInRequest, ref: str) -> HttpResponse:
    """Works, does not, on timer: a walk along the stations without a meter."""
    controller = _controller(request, ref, Action.TAKE_READINGS)
    stations = stations_of(controller)
    today = today_at(controller.property)
    form = WalkForm(request.POST or None, stations=stations, initial={"seen_on": today})

    def act(data: dict[str, Any]) -> str:
        noted = walk(seen=form.seen(), seen_on=data["seen_on"], today=today, by=request.user)
        return ngettext("%s station noted.", "%s stations noted.", len(noted)) % len(noted)

    return verb_page(
        request,
        form,
        VerbPage(
            heading=_("Walk the stations of controller %s") % controller,
            button=_("Keep what was seen"),
            back=reverse("faults:readings", args=[controller.ref]),
            watched=[],
            act=act,
            crumbs=_crumbs(controller),
            template="faults/readings/walk.html",
            extra={
                "rows": [
                    {
                        "station": station,
                        "result": form[f"result_{station.pk}"],
                        "note": form[f"note_{station.pk}"],
                    }
                    for station in stations
                ]
            },
        ),
    )
