"""Climate tables: which there are, their twelve months, and which one holds at a property."""

from collections.abc import Sequence
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from sites.kernel.access import SignedInRequest, may_everywhere, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_help import property_crumbs
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.models import ClimateRow, Property, Units
from sites.register.views.properties import about_property, find_property
from sites.water.engines.reference_et import Place
from sites.water.forms import ChooseTableForm, ClimateTableForm, WeatherForm
from sites.water.queries.climate import (
    climate_rows_of,
    climate_tables,
    means_of,
    shared_names,
)
from sites.water.services.tables import (
    add_climate_table,
    change_climate_table,
    choose_climate_table,
)
from sites.water.services.weather import work_out_weather

MOST_ROWS = 400
MOST_LINES_NAMED = 5


@page_for(Action.EDIT_REGISTER)
def climate(request: SignedInRequest) -> HttpResponse:
    """All tables: the shared ones, and those of single properties."""
    context = {
        "tables": climate_tables(request.user),
        "may_add": may_everywhere(request.user, Action.EDIT_REGISTER),
    }
    return render(request, "sites/climate/list.html", context)


def _units(request: SignedInRequest, place: Property | None = None) -> Property:
    """Return something that has the units in which depths are entered."""
    system = Units.METRIC if place is not None and place.units == Units.METRIC else Units.US
    wanted = request.GET.get("unit", "")
    return Property(units={"mm": Units.METRIC, "in": Units.US}.get(wanted, system))


def _crumbs() -> list[tuple[str, str]]:
    return [(reverse("sites:climate"), _("Climate tables"))]


def _page(units: Property, **given: Any) -> VerbPage:
    extra = {"is_mm": units.units == Units.METRIC, **given.pop("extra", {})}
    fixed = {
        "back": reverse("sites:climate"),
        "crumbs": _crumbs(),
        "lead": _(
            "Long-term means of each month. Figures worked out from them are estimates; single "
            "months and days of a year, loaded from a file, go before them."
        ),
        "template": "sites/climate/months.html",
        "extra": extra,
    }
    return VerbPage(**{**fixed, **given})


@page_for(Action.EDIT_REGISTER)
def climate_add(request: SignedInRequest) -> HttpResponse:
    """Enter a shared table."""
    if not may_everywhere(request.user, Action.EDIT_REGISTER):
        raise PermissionDenied
    units = _units(request)
    form = ClimateTableForm(request.POST or None, rows=(), units=units, has_name=True)

    def act(data: dict[str, Any]) -> str:
        add_climate_table(name=data["name"], source=data["source"], months=form.months())
        return _("Kept. Say at each property that this table holds there.")

    page = _page(
        units, heading=_("Add a climate table"), button=_("Keep this table"), watched=[], act=act
    )
    return verb_page(request, form, page)


def _left_out_words(lines: Sequence[str]) -> str:
    """Name the lines of a weather file that could not be used: the first ones, and how many."""
    if not lines:
        return ""
    words = ngettext("%s line was left out:", "%s lines were left out:", len(lines)) % len(lines)
    more = " …" if len(lines) > MOST_LINES_NAMED else ""
    return f"{words} {' '.join(lines[:MOST_LINES_NAMED])}{more}"


@page_for(Action.EDIT_REGISTER)
def climate_weather(request: SignedInRequest) -> HttpResponse:
    """Compute a shared table of days from a file of raw weather."""
    if not may_everywhere(request.user, Action.EDIT_REGISTER):
        raise PermissionDenied
    form = WeatherForm(request.POST or None, request.FILES or None)

    def act(data: dict[str, Any]) -> str:
        worked_out = work_out_weather(
            name=data["name"],
            source=data["source"],
            content=data["file"].read(),
            place=Place(data["latitude"], data["elevation_m"], data["wind_height_m"]),
        )
        told = _(
            "%(full)s days worked out in full, %(estimated)s estimated from temperatures alone, "
            "%(missing)s left missing."
        ) % {
            "full": worked_out.full,
            "estimated": worked_out.estimated,
            "missing": worked_out.missing,
        }
        return f"{told} {_left_out_words(worked_out.left_out)}".strip()

    page = VerbPage(
        heading=_("Work out a climate table from weather"),
        button=_("Work it out"),
        back=reverse("sites:climate"),
        crumbs=_crumbs(),
        lead=_("A day that lacks its temperatures stays missing; nothing is filled in."),
        watched=[],
        act=act,
    )
    return verb_page(request, form, page)


@page_for(Action.EDIT_REGISTER)
def climate_table(request: SignedInRequest) -> HttpResponse:
    """One shared table, named by `?table=`; a user with a grant on everything may change it."""
    name = request.GET.get("table", "")
    rows = list(climate_rows_of(request.user, name)[:MOST_ROWS]) if name else []
    if not rows:
        return redirect("sites:climate")
    dated: list[ClimateRow] = [row for row in rows if row.year is not None]
    if not may_everywhere(request.user, Action.EDIT_REGISTER):
        context = {"name": name, "means": means_of(name), "dated": dated, "crumbs": _crumbs()}
        return render(request, "sites/climate/table.html", context)
    units, means = _units(request), means_of(name)
    form = ClimateTableForm(request.POST or None, rows=means, units=units, has_name=False)

    def act(data: dict[str, Any]) -> str:
        change_climate_table(name=name, source=data["source"], months=form.months())
        return _("Kept. What follows from it is recalculated.")

    page = _page(
        units,
        heading=_("Climate table %s") % name,
        button=_("Keep this table"),
        watched=means,
        act=act,
        extra={"dated": dated, "table": name},
    )
    return verb_page(request, form, page)


@page_for(Action.EDIT_REGISTER)
def property_climate(request: SignedInRequest, ref: str) -> HttpResponse:
    """Which shared table holds at a property."""
    place = find_property(request, ref, Action.EDIT_REGISTER)
    names = shared_names(request.user)
    if place.climate_table and place.climate_table not in names:
        names = [place.climate_table, *names]
    form = ChooseTableForm(request.POST or None, names=names, initial={"name": place.climate_table})

    def act(data: dict[str, Any]) -> str:
        choose_climate_table(place=place, name=data["name"])
        return _("Kept. What staying off central costs here is recalculated.")

    page = about_property(
        place,
        heading=_("Climate at %s") % place,
        button=_("Keep this"),
        lead=_("A table of the property's own goes before the shared one."),
        back=reverse("reports:property_water", args=[place.ref]),
        act=act,
        template="sites/climate/choose.html",
        extra={"place": place, "own": place.climate.count(), "names": names},
    )
    return verb_page(request, form, page)


@page_for(Action.EDIT_REGISTER)
def property_climate_own(request: SignedInRequest, ref: str) -> HttpResponse:
    """Twelve months of the property's own."""
    place = find_property(request, ref, Action.EDIT_REGISTER)
    units, means = _units(request, place), means_of(place.code, place)
    form = ClimateTableForm(request.POST or None, rows=means, units=units, has_name=False)

    def act(data: dict[str, Any]) -> str:
        keep = change_climate_table if means else add_climate_table
        keep(name=place.code, source=data["source"], months=form.months(), place=place)
        return _("Kept. What staying off central costs here is recalculated.")

    page = _page(
        units,
        heading=_("%s: a climate table of its own") % place,
        button=_("Keep this table"),
        back=reverse("sites:property_climate", args=[place.ref]),
        crumbs=property_crumbs(place),
        watched=[place, *means],
        act=act,
    )
    return verb_page(request, form, page)
