"""Stopgaps: one with its history, and the verbs on it; devices and their batteries."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from sites.kernel.access import (
    SignedInRequest,
    actions_on,
    devices_for,
    find,
    may,
    page_for,
    properties_for,
    stations_for,
    stopgaps_for,
)
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import CHANGED, WhyForm
from sites.kernel.services.history import history_of
from sites.kernel.views.verb_help import Crumbs, property_crumbs, station_crumbs, today_at
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.models import Device, Stopgap
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
    context: dict[str, Any] = {
        "stopgap": one,
        "place": place,
        "crumbs": station_crumbs(one.station),
        "may_here": actions_on(request.user, place),
    }
    if may(request.user, Action.SEE_HISTORY, place):
        context["history"] = history_of(one)
    return render(request, "sites/stopgaps/stopgap.html", context)


@page_for(Action.CHANGE_STOPGAPS)
def fit(request: SignedInRequest, ref: str) -> HttpResponse:
    """Fit a stopgap on one or several stations of a property, also instead of another."""
    place = find(properties_for(request.user, Action.CHANGE_STOPGAPS), ref=ref)
    today = today_at(place)
    initial = {"stations": request.GET.get("stations", ""), "fitted": today.isoformat()}
    form = FitForm(request.POST or None, place=place, today=today, initial=initial)

    def act(data: dict[str, Any]) -> str:
        fit_it = fit_instead if data["instead"] else fit_stopgap
        fitted = fit_it(stations=data["stations"], facts=form.facts(), today=today)
        words = ngettext("Fitted on one station.", "Fitted on %(n)s stations.", len(fitted))
        return words % {"n": len(fitted)}

    def after() -> str:
        stations = form.cleaned_data["stations"]
        return reverse("reports:station", args=[stations[0].ref]) if len(stations) == 1 else back

    back = reverse("reports:property", args=[place.ref])
    # Nothing that stands is overwritten: the verb looks at the stations with a lock of its own.
    page = VerbPage(
        heading=_("Fit a stopgap at %s") % place,
        button=_("Fit it"),
        back=back,
        watched=[],
        act=act,
        after=after,
        crumbs=property_crumbs(place),
        template="sites/stopgaps/form.html",
    )
    return verb_page(request, form, page)


def _find(request: SignedInRequest, ref: str) -> Stopgap:
    rows = stopgaps_for(request.user, Action.CHANGE_STOPGAPS).select_related(*WITH_PLACE)
    return find(rows, ref=ref)


def _page(one: Stopgap, **given: Any) -> VerbPage:
    """Return a page about one stopgap; it leads back to the stopgap."""
    url = reverse("sites:stopgap", args=[one.ref])
    lead = _("%(kind)s on %(station)s, since %(day)s") % {
        "kind": one.get_kind_display(),
        "station": one.station,
        "day": one.counted_from.isoformat(),
    }
    crumbs: Crumbs = [*station_crumbs(one.station), (url, one.get_kind_display())]
    return VerbPage(**{"back": url, "crumbs": crumbs, "lead": lead, "watched": [one], **given})


@page_for(Action.CHANGE_STOPGAPS)
def stopgap_end(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take a stopgap away, and the others of its device in the same visit."""
    one = _find(request, ref)
    today = today_at(one.station.controller.property)
    form = EndForm(request.POST or None, stopgap=one, initial={"on": today})

    def act(data: dict[str, Any]) -> str:
        ended = form.stopgaps()
        end_stopgaps(stopgaps=ended, on=data["on"], why=data["why"], today=today)
        words = ngettext("Ended on one station.", "Ended on %(n)s stations.", len(ended))
        return words % {"n": len(ended)}

    page = _page(
        one,
        heading=_("End this stopgap"),
        button=_("End it"),
        act=act,
        watched=[one, *form.others.values()],
        back=reverse("reports:station", args=[one.station.ref]),
    )
    return verb_page(request, form, page)


@page_for(Action.CHANGE_STOPGAPS)
def stopgap_reopen(request: SignedInRequest, ref: str) -> HttpResponse:
    """Reopen a stopgap that was ended by mistake."""
    one = _find(request, ref)

    def act(data: dict[str, Any]) -> str:
        reopen_stopgap(stopgap=one, why=data["why"])
        return _("It stands again.")

    form = WhyForm(request.POST or None)
    page = _page(one, heading=_("Reopen this stopgap"), button=_("It still stands"), act=act)
    return verb_page(request, form, page)


@page_for(Action.CHANGE_STOPGAPS)
def stopgap_correct(request: SignedInRequest, ref: str) -> HttpResponse:
    """Correct what was recorded wrongly."""
    one = _find(request, ref)
    place = one.station.controller.property
    today = today_at(place)
    known = facts_of(one)
    initial = {name: getattr(known, name) for name in FACTS}
    form = CorrectForm(request.POST or None, place=place, today=today, initial=initial)

    def act(data: dict[str, Any]) -> str:
        correct_stopgap(stopgap=one, facts=form.facts(), why=data["why"], today=today)
        return _("Put right. The old values stay in the history.")

    page = _page(
        one,
        heading=_("Correct this stopgap"),
        button=_("Put it right"),
        act=act,
        template="sites/stopgaps/form.html",
    )
    return verb_page(request, form, page)


@page_for(Action.CHANGE_STOPGAPS)
def stopgap_note(request: SignedInRequest, ref: str) -> HttpResponse:
    """Keep what was learnt later: disabled in central, what the client said."""
    one = _find(request, ref)
    today = today_at(one.station.controller.property)
    initial = {name: getattr(one, name) for name in NoteForm.base_fields}
    form = NoteForm(request.POST or None, initial=initial)

    def act(data: dict[str, Any]) -> str:
        note_on_stopgap(stopgap=one, **data, today=today)
        return _("Noted.")

    page = _page(one, heading=_("Note what was learnt"), button=_("Note it"), act=act)
    return verb_page(request, form, page)


@page_for(Action.CHANGE_STOPGAPS)
def station_main_valve(request: SignedInRequest, ref: str) -> HttpResponse:
    """Say how the master valve or pump above a station opens while it is off central control."""
    rows = stations_for(request.user, Action.CHANGE_STOPGAPS)
    rows = rows.select_related("controller__property", "depends_on__controller")
    one = find(rows, ref=ref)
    if one.depends_on is None:  # nothing to say: it depends on no other
        return redirect("reports:station", one.ref)
    own = standing_behind([one.pk])
    if not own:  # its clock runs on, and opens the master valve with it
        return redirect("reports:station", one.ref)
    others = open_behind_the_same_main(one)
    initial = {"main_valve": own[0].main_valve if own else ""}
    form = MainValveForm(request.POST or None, own=own, others=others, initial=initial)

    def act(data: dict[str, Any]) -> str:
        say_main_valve(stopgaps=form.chosen(), main_valve=data["main_valve"])
        return _("Kept. What it costs is worked out again.")

    page = VerbPage(
        heading=_("How %(main)s opens for station %(station)s")
        % {"main": one.depends_on, "station": one},
        button=_("Keep this"),
        back=reverse("reports:station", args=[one.ref]),
        watched=[one, *own, *others],
        act=act,
        lead=_(
            "Central opens the master valve or pump only for what central itself runs. A timer "
            "behind a closed one waters nothing. A master valve that is held open from a day on "
            "is better recorded there, as a stopgap of its own: then it holds for all behind it."
        ),
        crumbs=station_crumbs(one),
    )
    return verb_page(request, form, page)


@page_for(Action.SEE_OFF_CENTRAL)
def device(request: SignedInRequest, ref: str) -> HttpResponse:
    """One battery timer: its batteries, its valves now and before."""
    devices = devices_for(request.user, Action.SEE_OFF_CENTRAL).select_related("property")
    one = find(devices, ref=ref)
    rows = one.stopgaps.select_related("station__controller").order_by("-counted_from", "-pk")
    stopgaps = list(rows[:200])
    context: dict[str, Any] = {
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


@page_for(Action.CHANGE_STOPGAPS)
def device_battery(request: SignedInRequest, ref: str) -> HttpResponse:
    """Change a device's battery set, or correct what is recorded of it."""
    devices = devices_for(request.user, Action.CHANGE_STOPGAPS).select_related("property")
    one = find(devices, ref=ref)
    today = today_at(one.property)
    initial = {"what": CHANGED, "on": today, "kind": one.battery_kind}
    form = BatteryForm(request.POST or None, initial=initial)
    back = reverse("sites:device", args=[one.ref])
    page = VerbPage(
        heading=_("Batteries of %s") % one,
        button=_("Keep this"),
        back=back,
        watched=[one],
        act=_battery_act(one, today),
        lead=_valves(one),
        crumbs=[*property_crumbs(one.property), (back, one.name)],
    )
    return verb_page(request, form, page)


def _battery_act(one: Device, today: Any) -> Any:
    def act(data: dict[str, Any]) -> str:
        given = {"device": one, "on": data["on"], "kind": data["kind"], "today": today}
        if data["what"] == CHANGED:
            change_battery(**given)
            return _("The new set is recorded, for all its valves.")
        correct_battery(**given, why=data["why"])
        return _("Put right. The old values stay in the history.")

    return act


def _valves(one: Device) -> str:
    rows = one.stopgaps.filter(removed_on__isnull=True).select_related("station__controller")
    names = ", ".join(str(each.station) for each in rows.order_by("station", "pk")[:12])
    return _("One set for all its valves: %s") % names if names else ""
