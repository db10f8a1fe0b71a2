"""Verbs on what befell a station's water: days on which nothing ran, a valve stuck open."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _

from sites.kernel.access import SignedInRequest, find, page_for, stations_for
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import WhyForm
from sites.kernel.views.verb_help import chosen_row, station_crumbs, today_at
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.models import Outage, Station
from sites.water.forms import OutageForm, StuckOpenForm
from sites.water.queries.climate import outages_of, stuck_open_of
from sites.water.services.outages import (
    change_outage,
    note_outage,
    note_stuck_open,
    take_back_outage,
    take_back_stuck_open,
)


def _find(request: SignedInRequest, ref: str) -> Station:
    rows = stations_for(request.user, Action.CHANGE_STOPGAPS)
    return find(rows.select_related("controller__property"), ref=ref)


def _page(one: Station, **given: Any) -> VerbPage:
    """Return a page about one station's water; it leads back to its meter."""
    back = reverse("reports:station_water", args=[one.ref])
    fixed = {"back": back, "crumbs": station_crumbs(one), "watched": [one]}
    return VerbPage(**{**fixed, **given})


@page_for(Action.CHANGE_STOPGAPS)
def station_outage(request: SignedInRequest, ref: str) -> HttpResponse:
    """Note days on which nothing ran, or change those that `?row=` names."""
    one = _find(request, ref)
    known: Outage | None = chosen_row(request, outages_of(one), None)
    today = today_at(one.controller.property)
    initial = {"initial": {"from_on": today}} if known is None else {}
    form = OutageForm(request.POST or None, outage=known, **initial)

    def act(_data: dict[str, Any]) -> str:
        if known is None:
            note_outage(station=one, today=today, **form.values())
        else:
            change_outage(outage=known, today=today, **form.values())
        return _("Kept. What it costs was recalculated.")

    page = _page(
        one,
        heading=_("Days on which nothing ran at %s") % one,
        button=_("Keep these days"),
        lead=_("A dead battery, a timer switched off, or emptied for winter."),
        watched=[known] if known else [one],
        act=act,
    )
    return verb_page(request, form, page)


@page_for(Action.CHANGE_STOPGAPS)
def station_outage_back(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take back the days that `?row=` names."""
    one = _find(request, ref)
    rows = outages_of(one)
    known: Outage | None = chosen_row(request, rows, rows[0] if rows else None)
    if known is None:
        return redirect("reports:station_water", ref=one.ref)

    def act(data: dict[str, Any]) -> str:
        take_back_outage(outage=known, why=data["why"])
        return _("Taken back. What it costs was recalculated.")

    page = _page(
        one,
        heading=_("Take back that nothing ran from %s on") % known.from_on.isoformat(),
        button=_("It did run"),
        watched=[known],
        act=act,
    )
    return verb_page(request, WhyForm(request.POST or None), page)


@page_for(Action.CHANGE_STOPGAPS)
def station_stuck_open(request: SignedInRequest, ref: str) -> HttpResponse:
    """Note that its valve stayed open for some hours."""
    one = _find(request, ref)
    today = today_at(one.controller.property)
    form = StuckOpenForm(request.POST or None, initial={"on": today})

    def act(data: dict[str, Any]) -> str:
        note_stuck_open(station=one, today=today, **data)
        return _("Kept, apart from what its schedule gives.")

    page = _page(
        one,
        heading=_("The valve of %s stayed open") % one,
        button=_("Keep this"),
        lead=_("Such as after a battery died in the middle of a run."),
        act=act,
    )
    return verb_page(request, form, page)


@page_for(Action.CHANGE_STOPGAPS)
def station_stuck_open_back(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take back the incident that `?row=` names."""
    one = _find(request, ref)
    rows = stuck_open_of(one)
    known = chosen_row(request, rows, rows[0] if rows else None)
    if known is None:
        return redirect("reports:station_water", ref=one.ref)
    today = today_at(one.controller.property)

    def act(data: dict[str, Any]) -> str:
        take_back_stuck_open(incident=known, why=data["why"], today=today)
        return _("Taken back.")

    page = _page(
        one,
        heading=_("Take back that the valve stayed open on %s") % known.on.isoformat(),
        button=_("It did not"),
        watched=[known],
        act=act,
    )
    return verb_page(request, WhyForm(request.POST or None), page)
