"""Readings: one in two taps, a controller's check-up and walk, and its overview."""

from datetime import date
from functools import cached_property

from django.db.models import Model
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from faults.access import readings_for
from faults.models import Reading, ReadingKind
from faults.readings.forms.meter import NotOnAMeter, parse_value
from faults.readings.forms.readings import CheckUpForm, ReadingForm, VoidForm, WalkForm
from faults.readings.services.checkup import check_up, overview, stations_of, walk
from faults.readings.services.judging import expectations, judge_value, timers_of, was_on_timer
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
from sites.kernel.views.verb_help import ControllerView, StationView
from sites.kernel.views.verb_views import Crumbs, Text, VerbView
from sites.models import Controller, Property, Station, Wiring, today_at
from sites.wires.services.expected_volts import expected_load
from sites.wires.services.reading_limits import thresholds
from sites.wires.services.warmth import warmth_at


def _station(request: SignedInRequest, ref: str, action: Action) -> Station:
    rows = stations_for(request.user, action).select_related("controller__property")
    return find(rows, ref=ref)


def _controller(request: SignedInRequest, ref: str, action: Action) -> Controller:
    return find(controllers_for(request.user, action).select_related("property"), ref=ref)


def _crumbs(controller: Controller, *more: tuple[str, str]) -> Crumbs:
    place = controller.property
    return [
        (reverse("reports:property", args=[place.ref]), str(place)),
        (
            reverse("faults:readings", args=[controller.ref]),
            _("Readings of controller %s") % controller,
        ),
        *more,
    ]


class ReadingAdd(StationView):
    """Take one reading of a station; the answer judges it at once."""

    verb = take_reading
    form_class = ReadingForm
    heading, button = _("A reading of %s"), _("Keep this reading")
    caution = _(
        "Ohms only with the output off and the wire off its terminal. "
        "The mains side of the controller is for licensed electricians. 24 V is not safe "
        "on wet skin. Insulation only with both ends free, and no more volts than the "
        "cable is rated for."
    )
    template_name = "faults/readings/add.html"

    def get_initial(self) -> dict[str, object]:
        return {"taken_on": self.today, "taken_by": self.user.get_full_name() or str(self.user)}

    def get_watched(self) -> list[Model]:
        return []

    def get_crumbs(self) -> Crumbs:
        return _crumbs(self.row.controller, (self.get_back(), str(self.row)))

    def act(self, data: dict[str, object]) -> Text:
        station = self.row
        expected, good = expectations([station])
        reading = take_reading(**self.arguments(data))
        own = None if reading.is_new_coil else good.get(station.pk)
        warmth = warmth_at(self.get_place(), reading.taken_on, reading.temperature_f)
        judged = judge_value(
            reading.kind,
            reading.value,
            expected[station.pk],
            own,
            warmth,
            on_timer=was_on_timer(timers_of([station.pk]).get(station.pk, ()), reading.taken_on),
        )
        return _("Kept: %(word)s. %(advice)s") % {"word": judged.word, "advice": judged.advice}


class ReadingVoid(VerbView[Reading]):
    """Take a wrong reading out of every judgement."""

    verb = void_reading
    takes = "reading"
    form_class = VoidForm
    button = _("Void it")
    done = _("The reading is voided. It stays in the history.")

    def find(self) -> Reading:
        return find(readings_for(self.user, self.may_do), pk=self.kwargs["pk"])

    def get_place(self) -> Property:
        return self.row.station.controller.property

    def get_heading(self) -> Text:
        return _("Void the reading of %s") % str(self.row.taken_on)

    def get_back(self) -> str:
        return reverse("reports:station", args=[self.row.station.ref])

    def get_crumbs(self) -> Crumbs:
        own = (self.get_back(), str(self.row.station))
        return _crumbs(self.row.station.controller, own)


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


class _RoundView(ControllerView):
    """One screen for all stations of a controller."""

    @cached_property
    def stations(self) -> list[Station]:
        """The stations of the round."""
        return stations_of(self.row)

    def get_form_kwargs(self) -> dict[str, object]:
        return {**super().get_form_kwargs(), "stations": self.stations}

    def get_watched(self) -> list[Model]:
        return []

    def get_back(self) -> str:
        return reverse("faults:readings", args=[self.row.ref])

    def get_crumbs(self) -> Crumbs:
        return _crumbs(self.row)


class CheckUp(_RoundView):
    """The ohms of all stations of a controller in one screen."""

    verb = check_up
    form_class = CheckUpForm
    heading = _("Check up the wires of controller %s")
    button = _("Keep what is filled in")
    caution = _(
        "Disconnect the common and switch the stations off. The mains side is for "
        "licensed electricians; lock it out before you touch the terminals. 24 V is not "
        "safe on wet skin. Insulation only with both ends free, and no more volts than "
        "the cable is rated for."
    )
    template_name = "faults/readings/check_up.html"

    def get_initial(self) -> dict[str, object]:
        return {"taken_on": self.today, "taken_by": self.user.get_full_name() or str(self.user)}

    def get_extra(self) -> dict[str, object]:
        expected, good = expectations(self.stations)
        timers = timers_of([station.pk for station in self.stations])
        rows = [
            {
                "station": station,
                "on_timer": was_on_timer(timers.get(station.pk, ()), self.today),
                "ohms": self.form[f"{ReadingKind.OHMS}_{station.pk}"],
                "insulation": self.form[f"{ReadingKind.INSULATION}_{station.pk}"],
                "expected": expected[station.pk],
                "own": good.get(station.pk),
            }
            for station in self.stations
        ]
        return {"controller": self.row, "rows": rows}

    def get_done(self) -> Text:
        n = len(self.result)
        words = ngettext(
            "%s value kept; the worst stand first.", "%s values kept; the worst stand first.", n
        )
        return words % n


@page_for(Action.TAKE_READINGS)
def judge(request: SignedInRequest, ref: str) -> HttpResponse:
    """Judge one typed value, as a fragment: nothing is written."""
    station = _station(request, ref, Action.TAKE_READINGS)
    kind = request.GET.get("kind", ReadingKind.OHMS)
    if kind not in ReadingKind.values:
        raise Http404
    words = next((str(v) for k, v in request.GET.items() if k.startswith(f"{kind}_")), "")
    context: dict[str, object] = {}
    if words.strip():
        expected, good = expectations([station])
        try:
            value = parse_value(words, kind)
            own = good.get(station.pk)
            on, temperature_f = _typed(request, station.controller.property)
            context["judged"] = judge_value(
                kind,
                value,
                expected[station.pk],
                own,
                warmth_at(station.controller.property, on, temperature_f),
                on_timer=was_on_timer(timers_of([station.pk]).get(station.pk, ()), on),
            )
        except NotOnAMeter as refusal:
            context["refusal"] = str(refusal)
    return render(request, "faults/readings/_judged.html", context)


def _typed(request: SignedInRequest, place: Property) -> tuple[date, float | None]:
    """Return the day and the temperature typed so far, as far as they are any."""
    form = CheckUpForm(request.GET, stations=[], place=place)
    form.is_valid()
    on = form.cleaned_data.get("taken_on") or today_at(place)
    return on, form.cleaned_data.get("temperature_f")


class Walk(_RoundView):
    """Works, does not, on timer: a walk along the stations without a meter."""

    verb = walk
    form_class = WalkForm
    starts_today = ("seen_on",)
    heading, button = _("Walk the stations of controller %s"), _("Keep what was seen")
    template_name = "faults/readings/walk.html"

    def get_extra(self) -> dict[str, object]:
        rows = [
            {
                "station": station,
                "result": self.form[f"result_{station.pk}"],
                "note": self.form[f"note_{station.pk}"],
            }
            for station in self.stations
        ]
        return {"rows": rows}

    def get_done(self) -> Text:
        n = len(self.result)
        return ngettext("%s station noted.", "%s stations noted.", n) % n
