"""What could come home without a dig: over all, on one property; its round; leading one home."""

from dataclasses import dataclass
from functools import cached_property

from django.db.models import Model
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from faults.models import FaultStation
from faults.readings.engines.bring_home import Verdict
from faults.readings.forms.bring_home import LoopsForm
from faults.readings.services import home_words
from faults.readings.services.bring_home import Home, homes_of, ranked
from faults.readings.services.loop_numbers import loop_numbers_now
from faults.readings.services.loops import lead_home, read_loops, stations_to_read, youngest
from sites.kernel.access import (
    SignedInRequest,
    actions_on,
    find,
    page_for,
    properties_for,
    stations_for,
)
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_help import PropertyView, StationView, property_crumbs
from sites.kernel.views.verb_views import Crumbs, Text
from sites.models import Station, today_at

MOST_OVER_ALL = 300


@dataclass(frozen=True)
class Line:
    """One station as the list shows it."""

    home: Home

    @property
    def verdict(self) -> str:
        """What is said of its wire."""
        return home_words.verdict_words(self.home.verdict)

    @property
    def chance(self) -> str:
        """How likely it is sound."""
        return home_words.chance_words(self.home)

    @property
    def per_minute(self) -> float | None:
        """The chance in percent for each minute of work; None where it is not known."""
        return None if self.home.chance is None else self.home.per_minute * 100

    @property
    def expected(self) -> str:
        """What the joined pair should read, or what is missing."""
        return home_words.expected_words(self.home)

    @property
    def rests_on(self) -> str:
        """What the chance rests on before a test."""
        return "; ".join(home_words.rests_on(self.home))

    @property
    def shown(self) -> str:
        """What its newest test read."""
        return home_words.shown_words(self.home)

    @property
    def next(self) -> str:
        """What to do next."""
        return home_words.next_words(self.home)

    @property
    def is_sound(self) -> bool:
        """Whether it can return today."""
        return self.home.verdict is Verdict.SOUND


def _lists(homes: list[Home]) -> dict[str, object]:
    lines = [Line(home) for home in ranked(homes)]
    numbers = loop_numbers_now()
    return {
        "lines": [line for line in lines if line.home.verdict is not Verdict.BROKEN],
        "broken": [line for line in lines if line.home.verdict is Verdict.BROKEN],
        "sound_total": sum(line.is_sound for line in lines),
        "unread_total": sum(line.home.verdict is None for line in lines),
        "numbers": numbers,
        "sound_percent": f"{numbers.loop_sound_from * 100:g} %",
    }


@page_for(Action.SEE_WORK)
def homes(request: SignedInRequest) -> HttpResponse:
    """What could come home without a dig, over all properties that the user sees."""
    total, chosen = youngest(stations_for(request.user, Action.SEE_WORK), most=MOST_OVER_ALL)
    context = {
        **_lists(homes_of(chosen, today=today_at)),
        "total": total,
        "shown_total": len(chosen),
    }
    return render(request, "faults/readings/homes.html", context)


@page_for(Action.SEE_WORK)
def homes_at(request: SignedInRequest, ref: str) -> HttpResponse:
    """What could come home without a dig on one property."""
    place = find(properties_for(request.user, Action.SEE_WORK), ref=ref)
    stations = stations_to_read(place)
    context = {
        **_lists(homes_of(stations, today=today_at(place))),
        "place": place,
        "total": len(stations),
        "shown_total": len(stations),
        "may_here": actions_on(request.user, place),
        "crumbs": property_crumbs(place),
    }
    return render(request, "faults/readings/homes.html", context)


class HomesRead(PropertyView):
    """The loops of all stations on stopgaps of a property, in the order of walking."""

    verb = read_loops
    form_class = LoopsForm
    starts_today = ("taken_on",)
    heading, button = _("Bring-home tests at %s"), _("Keep what is filled in")
    lead = _(
        "At the valve take the timer's leads off the two field wires and hold the wires apart: at "
        "the clock, off their terminals, they should read open. Then join them, or put a coil "
        "across that you have measured, and read the loop."
    )
    caution = _(
        "Switch the stations off and take both wires off their terminals before you read. The "
        "mains side is for licensed electricians. 24 V is not safe on wet skin."
    )
    template_name = "faults/readings/homes_read.html"

    @cached_property
    def stations(self) -> list[Station]:
        """Those to read, in the order of walking."""
        return stations_to_read(self.row)

    def get_form_kwargs(self) -> dict[str, object]:
        return {**super().get_form_kwargs(), "stations": self.stations}

    def get_initial(self) -> dict[str, object]:
        return {"taken_on": self.today, "taken_by": self.user.get_full_name() or str(self.user)}

    def get_watched(self) -> list[Model]:
        return []

    def get_back(self) -> str:
        return reverse("faults:homes_at", args=[self.row.ref])

    def get_crumbs(self) -> Crumbs:
        return [*property_crumbs(self.row), (self.get_back(), _("Home without a dig"))]

    def get_extra(self) -> dict[str, object]:
        homes = {home.station.pk: home for home in homes_of(self.stations, today=self.today)}
        rows = [
            {
                "line": Line(homes[station.pk]),
                "station": station,
                "apart": self.form[f"apart_{station.pk}"],
                "loop": self.form[f"loop_{station.pk}"],
                "across": self.form[f"across_{station.pk}"],
            }
            for station in self.stations
        ]
        return {"rows": rows}

    def get_done(self) -> Text:
        stations = [row.station for row in self.result]
        homes = homes_of(stations, today=self.today)
        sound = sum(home.verdict is Verdict.SOUND for home in homes)
        n = len(self.result)
        words = ngettext("%(n)s loop kept", "%(n)s loops kept", n) % {"n": n}
        can = ngettext("%(n)s can return today", "%(n)s can return today", sound) % {"n": sound}
        return f"{words}; {can}."


class HomeLead(StationView):
    """Take a station whose wire read sound to the proof."""

    verb = lead_home
    heading = _("Lead %s home")
    button = _("Its wire is sound: on to the proof")
    lead = _(
        "Its fault, or a new one, goes to “mended” with nothing mended. Put the 24 VAC solenoid "
        "back in; then it is proven with the coil running from central, and returned, like every "
        "other."
    )
    done = _("On to the proof: run it from central, read volts and ohms, see the valve move.")

    def get_watched(self) -> list[Model]:
        return []

    def get_back(self) -> str:
        return reverse("faults:homes_at", args=[self.row.controller.property.ref])

    def get_after(self) -> str:
        row: FaultStation = self.result
        return reverse("faults:fault", args=[row.fault.ref])
