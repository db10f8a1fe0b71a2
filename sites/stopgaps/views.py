"""Stopgaps: one with its history, and the verbs on it; devices and their batteries."""

from collections.abc import Callable
from functools import cached_property
from typing import Any

from django.db.models import Model
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from sites.kernel.access import (
    SignedInRequest,
    actions_on,
    devices_for,
    find,
    may,
    page_for,
    stations_for,
    stopgaps_for,
)
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import CHANGED, WhyForm
from sites.kernel.services.history import history_of
from sites.kernel.views.verb_help import (
    PropertyView,
    StationView,
    property_crumbs,
    station_crumbs,
)
from sites.kernel.views.verb_views import Crumbs, Text, VerbView
from sites.models import Device, Property, Station, Stopgap
from sites.stopgaps.forms.main_valves import MainValveForm
from sites.stopgaps.forms.stopgaps import (
    FACTS,
    BatteryForm,
    CorrectForm,
    EndForm,
    FitForm,
    NoteForm,
)
from sites.stopgaps.queries import open_behind_the_same_main, standing_behind
from sites.stopgaps.services.batteries import battery_history, change_battery, correct_battery
from sites.stopgaps.services.stopgaps import (
    correct_stopgap,
    end_stopgaps,
    facts_of,
    fit_instead,
    fit_stopgap,
    note_on_stopgap,
    reopen_stopgap,
    say_main_valve,
)

WITH_PLACE = ("station__controller__property", "device")


@page_for(Action.SEE_OFF_CENTRAL)
def stopgap(request: SignedInRequest, ref: str) -> HttpResponse:
    """One stopgap: its days, why, its device, who changed what."""
    one = find(stopgaps_for(request.user).select_related(*WITH_PLACE), ref=ref)
    place = one.station.controller.property
    context: dict[str, object] = {
        "stopgap": one,
        "place": place,
        "crumbs": station_crumbs(one.station),
        "may_here": actions_on(request.user, place),
    }
    if may(request.user, Action.SEE_HISTORY, place):
        context["history"] = history_of(one)
    return render(request, "sites/stopgaps/stopgap.html", context)


class StopgapFit(PropertyView):
    """Fit a stopgap on one or several stations of a property, also instead of another."""

    verb = fit_stopgap
    instead = fit_instead
    form_class = FitForm
    heading, button = _("Fit a stopgap at %s"), _("Fit it")
    template_name = "sites/stopgaps/form.html"

    def get_initial(self) -> dict[str, object]:
        stations = self.request.GET.get("stations", "")
        return {"stations": stations, "fitted": self.today.isoformat()}

    def get_watched(self) -> list[Model]:
        # Nothing that stands is overwritten: the verb looks at the stations with a lock of its own.
        return []

    def get_verb(self) -> Callable[..., Any]:
        return type(self).instead if self.form.cleaned_data["instead"] else type(self).verb

    def get_done(self) -> Text:
        n = len(self.result)
        return ngettext("Fitted on one station.", "Fitted on %(n)s stations.", n) % {"n": n}

    def get_after(self) -> str:
        stations = self.form.cleaned_data["stations"]
        one = len(stations) == 1
        return reverse("reports:station", args=[stations[0].ref]) if one else self.get_back()


class StopgapView(VerbView[Stopgap]):
    """A verb on a stopgap; the page leads back to the stopgap."""

    takes = "stopgap"

    def find(self) -> Stopgap:
        rows = stopgaps_for(self.user, self.may_do).select_related(*WITH_PLACE)
        return find(rows, ref=self.kwargs["ref"])

    def get_place(self) -> Property:
        return self.row.station.controller.property

    def get_back(self) -> str:
        return reverse("sites:stopgap", args=[self.row.ref])

    def get_crumbs(self) -> Crumbs:
        own = (reverse("sites:stopgap", args=[self.row.ref]), self.row.get_kind_display())
        return [*station_crumbs(self.row.station), own]

    def get_lead(self) -> Text:
        return _("%(kind)s on %(station)s, since %(day)s") % {
            "kind": self.row.get_kind_display(),
            "station": self.row.station,
            "day": self.row.counted_from.isoformat(),
        }


class StopgapEnd(StopgapView):
    """Take a stopgap away, and the others of its device in the same visit."""

    verb = end_stopgaps
    form_class = EndForm
    starts_today = ("on",)
    heading, button = _("End this stopgap"), _("End it")

    @cached_property
    def form(self) -> EndForm:
        return EndForm(self.posted, stopgap=self.row, initial=self.get_initial())

    def get_watched(self) -> list[Model]:
        return [self.row, *self.form.others.values()]

    def get_back(self) -> str:
        return reverse("reports:station", args=[self.row.station.ref])

    def get_done(self) -> Text:
        n = len(self.form.stopgaps())
        return ngettext("Ended on one station.", "Ended on %(n)s stations.", n) % {"n": n}


class StopgapReopen(StopgapView):
    """Reopen a stopgap that was ended by mistake."""

    verb = reopen_stopgap
    form_class = WhyForm
    heading, button = _("Reopen this stopgap"), _("It still stands")
    done = _("It stands again.")


class StopgapCorrect(StopgapView):
    """Correct what was recorded wrongly."""

    verb = correct_stopgap
    form_class = CorrectForm
    heading, button = _("Correct this stopgap"), _("Put it right")
    done = _("Put right. The old values stay in the history.")
    template_name = "sites/stopgaps/form.html"

    def get_initial(self) -> dict[str, object]:
        known = facts_of(self.row)
        return {name: getattr(known, name) for name in FACTS}


class StopgapNote(StopgapView):
    """Keep what was learnt later: disabled in central, what the client said."""

    verb = note_on_stopgap
    form_class = NoteForm
    heading, button = _("Note what was learnt"), _("Note it")
    done = _("Noted.")

    def get_initial(self) -> dict[str, object]:
        return {name: getattr(self.row, name) for name in NoteForm.base_fields}


class StationMainValve(StationView):
    """Say how the master valve or pump above a station opens while it is off central control."""

    verb = say_main_valve
    done = _("Kept. What it costs is worked out again.")
    lead = _(
        "Central opens the master valve or pump only for what central itself runs. A timer "
        "behind a closed one waters nothing. A master valve that is held open from a day on "
        "is better recorded there, as a stopgap of its own: then it holds for all behind it."
    )

    def find(self) -> Station:
        rows = stations_for(self.user, self.may_do)
        rows = rows.select_related("controller__property", "depends_on__controller")
        return find(rows, ref=self.kwargs["ref"])

    @cached_property
    def own(self) -> list[Stopgap]:
        """The stopgap that stands on it."""
        return standing_behind([self.row.pk])

    @cached_property
    def others(self) -> list[Stopgap]:
        """Those that wait for the same master valve or pump."""
        return open_behind_the_same_main(self.row)

    def elsewhere(self) -> str:
        # It depends on no other, or its clock runs on and opens the master valve with it.
        return "" if self.row.depends_on and self.own else self.get_back()

    @cached_property
    def form(self) -> MainValveForm:
        initial = {"main_valve": self.own[0].main_valve}
        return MainValveForm(self.posted, own=self.own, others=self.others, initial=initial)

    def get_heading(self) -> Text:
        words = {"main": self.row.depends_on, "station": self.row}
        return _("How %(main)s opens for station %(station)s") % words

    def get_watched(self) -> list[Model]:
        return [self.row, *self.own, *self.others]

    def arguments(self, data: dict[str, object]) -> dict[str, object]:
        return {"stopgaps": self.form.chosen(), "main_valve": data["main_valve"]}


@page_for(Action.SEE_OFF_CENTRAL)
def device(request: SignedInRequest, ref: str) -> HttpResponse:
    """One battery timer: its batteries, its valves now and before."""
    devices = devices_for(request.user, Action.SEE_OFF_CENTRAL).select_related("property")
    one = find(devices, ref=ref)
    rows = one.stopgaps.select_related("station__controller").order_by("-counted_from", "-pk")
    stopgaps = list(rows[:200])
    context: dict[str, object] = {
        "device": one,
        "owner": one,
        "place": one.property,
        "crumbs": property_crumbs(one.property),
        "may_here": actions_on(request.user, one.property),
        "standing": [each for each in stopgaps if each.removed_on is None],
        "ended": [each for each in stopgaps if each.removed_on is not None],
        "batteries": battery_history(one),
    }
    return render(request, "sites/stopgaps/device.html", context)


class DeviceBattery(VerbView[Device]):
    """Change a device's battery set, or correct what is recorded of it."""

    verb = change_battery
    correct = correct_battery
    takes = "device"
    form_class = BatteryForm
    heading = _("Batteries of %s")

    def find(self) -> Device:
        devices = devices_for(self.user, self.may_do).select_related("property")
        return find(devices, ref=self.kwargs["ref"])

    def get_place(self) -> Property:
        return self.row.property

    def get_back(self) -> str:
        return reverse("sites:device", args=[self.row.ref])

    def get_crumbs(self) -> Crumbs:
        return [*property_crumbs(self.row.property), (self.get_back(), self.row.name)]

    def get_initial(self) -> dict[str, object]:
        return {"what": CHANGED, "on": self.today, "kind": self.row.battery_kind}

    def get_lead(self) -> Text:
        """Name its valves: one set serves them all."""
        rows = self.row.stopgaps.filter(removed_on__isnull=True)
        rows = rows.select_related("station__controller").order_by("station", "pk")
        names = ", ".join(str(each.station) for each in rows[:12])
        return _("One set for all its valves: %s") % names if names else ""

    @property
    def has_changed(self) -> bool:
        """Whether the set was changed, rather than recorded wrongly."""
        return bool(self.form.cleaned_data["what"] == CHANGED)

    def get_verb(self) -> Callable[..., Any]:
        return type(self).verb if self.has_changed else type(self).correct

    def get_done(self) -> Text:
        if self.has_changed:
            return _("The new set is recorded, for all its valves.")
        return _("Put right. The old values stay in the history.")
