"""Verbs on a station: its own facts, what it waters, its schedules, its end."""

from typing import Any

from django.http import HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _

from sites.kernel.access import SignedInRequest, find, page_for, stations_for
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import WhyForm
from sites.kernel.services.dated import last_row, lasting
from sites.kernel.views.verb_help import acting, chosen_row, dated_page, station_crumbs, today_at
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.models import Property, Schedule, Station, StationFacts
from sites.register.forms.stations import ScheduleForm, StationFactsForm, StationForm
from sites.register.queries.stations import upper_stations
from sites.register.services.facts import (
    change_facts,
    change_schedule,
    correct_facts,
    correct_schedule,
    end_schedule,
    facts_now,
    go_on_with_schedule,
    take_back_facts,
    take_back_schedule,
)
from sites.register.services.property_facts import change_station
from sites.templatetags.register import area, flow


def _find(request: SignedInRequest, ref: str) -> Station:
    rows = stations_for(request.user, Action.EDIT_REGISTER)
    return find(rows.select_related("controller__property"), ref=ref)


def _page(one: Station, **given: Any) -> VerbPage:
    """Return a page about one station; it leads back to the station."""
    back = reverse("reports:station", args=[one.ref])
    fixed = {"back": back, "crumbs": station_crumbs(one), "watched": [one]}
    return VerbPage(**{**fixed, **given})


@page_for(Action.EDIT_REGISTER)
def station_edit(request: SignedInRequest, ref: str) -> HttpResponse:
    """Name, kind, what it depends on, coil, run, notes."""
    one = _find(request, ref)
    form = StationForm(request.POST or None, station=one, uppers=upper_stations(one))

    def act(_data: dict[str, Any]) -> str:
        change_station(station=one, values=form.values())
        return _("Kept.")

    page = _page(one, heading=_("Change station %s") % one, button=_("Keep this"), act=act)
    return verb_page(request, form, page)


@page_for(Action.EDIT_REGISTER)
def station_facts(request: SignedInRequest, ref: str) -> HttpResponse:
    """What it waters, and how much it gives: changed from a day, or was wrong."""
    one = _find(request, ref)
    place = one.controller.property
    rows, now = lasting(one.facts), facts_now(one)
    row = chosen_row(request, rows, now)
    form = StationFactsForm(request.POST or None, row=row, is_current=row == now, place=place)
    today = today_at(place)
    page = _page(
        one,
        heading=_("What station %s waters") % one,
        button=_("Keep this"),
        watched=[one, *([row] if row else [])],
        act=acting(
            form,
            change=lambda data: change_facts(
                station=one, values=form.values(), on=data["on"], today=today
            ),
            correct=lambda data: correct_facts(
                facts=row or StationFacts(station=one), values=form.values(), why=data["why"]
            ),
        ),
        template="sites/dated.html",
    )
    back = reverse("sites:station_facts_back", args=[one.ref]) if now and now.from_on else ""
    return dated_page(
        request, form, page, rows=rows, words=lambda each: facts_words(each, place), take_back=back
    )


def facts_words(row: StationFacts, place: Property) -> str:
    """Say in one line what a station waters."""
    pieces = [area(row.area_sqft, place), flow(row.flow_gpm, place), row.plant_kind]
    if row.precipitation_in_per_h is not None:
        pieces.append(_("%s in/h") % f"{row.precipitation_in_per_h:g}")
    if row.plant_factor is not None:
        pieces.append(_("plant factor %s") % f"{row.plant_factor:g}")
    if row.efficiency is not None:
        pieces.append(_("efficiency %s") % f"{row.efficiency:g}")
    return ", ".join(piece for piece in pieces if piece) or _("nothing known")


@page_for(Action.EDIT_REGISTER)
def station_facts_back(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take the latest change of its facts back."""
    one = _find(request, ref)
    now = facts_now(one)

    def act(data: dict[str, Any]) -> str:
        take_back_facts(station=one, why=data["why"])
        return _("Taken back. What held before holds again.")

    page = _page(
        one,
        heading=_("Take the latest change back"),
        button=_("It did not change"),
        lead=facts_words(now, one.controller.property) if now else "",
        back=reverse("sites:station_facts", args=[one.ref]),
        watched=[one, *([now] if now else [])],
        act=act,
    )
    return verb_page(request, WhyForm(request.POST or None), page)


@page_for(Action.EDIT_REGISTER)
def station_schedule(request: SignedInRequest, ref: str) -> HttpResponse:
    """When it waters: changed from a day, was wrong, or ended; `?row=new` adds another."""
    one = _find(request, ref)
    rows, now = lasting(one.schedules), last_row(one.schedules)
    is_new = request.GET.get("row") == "new"
    row: Any = None if is_new else chosen_row(request, rows, now)
    is_open = row is not None and row.to_on is None
    form = ScheduleForm(request.POST or None, row=row, is_current=is_open)
    page = _page(
        one,
        heading=_("When station %s waters") % one,
        button=_("Keep this"),
        watched=[one, *([row] if row else [])],
        act=acting(
            form,
            change=lambda data: change_schedule(
                station=one, schedule=row, values=form.values(), on=data["on"]
            ),
            correct=lambda data: correct_schedule(
                schedule=row, values=form.values(), why=data["why"]
            ),
            end=lambda data: end_schedule(schedule=row, on=data["on"]),
        ),
        template="sites/dated.html",
        extra={"another": bool(rows) and not is_new},
    )
    back = f"{reverse('sites:station_schedule_back', args=[one.ref])}?row={row.pk}" if row else ""
    return dated_page(request, form, page, rows=rows, words=schedule_words, take_back=back)


def schedule_words(row: Schedule) -> str:
    """Say in one line when a station waters."""
    minutes = _("%s min") % f"{row.minutes:g}"
    pieces = (row.get_run_by_display() if row.run_by else "", row.days, row.starts, minutes)
    return ", ".join(str(piece) for piece in pieces if piece)


@page_for(Action.EDIT_REGISTER)
def station_schedule_back(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take a schedule back, or the end of one."""
    one = _find(request, ref)
    row = chosen_row(request, lasting(one.schedules), last_row(one.schedules))

    def act(data: dict[str, Any]) -> str:
        if row is not None and row.to_on is not None:
            go_on_with_schedule(schedule=row, why=data["why"])
            return _("Taken back. The schedule goes on.")
        take_back_schedule(schedule=row or Schedule(station=one), why=data["why"])
        return _("Taken back. What held before holds again.")

    is_ended = row is not None and row.to_on is not None
    page = _page(
        one,
        heading=_("Let this schedule go on") if is_ended else _("Take this schedule back"),
        button=_("It did not end") if is_ended else _("It did not begin"),
        lead=schedule_words(row) if row else "",
        back=reverse("sites:station_schedule", args=[one.ref]),
        watched=[one, *([row] if row else [])],
        act=act,
    )
    return verb_page(request, WhyForm(request.POST or None), page)
