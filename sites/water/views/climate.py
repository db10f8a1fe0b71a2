"""Climate tables: which there are, their twelve months, and which one holds at a property."""

from collections.abc import Callable, Sequence
from functools import cached_property
from typing import Any, TypeVar

from django.core.exceptions import PermissionDenied
from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from sites.kernel.access import SignedInRequest, may_everywhere, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_help import PropertyView, property_crumbs
from sites.kernel.views.verb_views import Crumbs, Text, VerbView
from sites.models import ClimateRow, Property, Units, User
from sites.water.forms.inputs import ChooseTableForm, ClimateTableForm, WeatherForm
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

Row = TypeVar("Row")

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


def refuse_unless_everywhere(user: User) -> None:
    """A shared table holds for all properties: only those with a grant on all may set it.

    Raises:
        PermissionDenied: where the user's grant is for some of them.
    """
    if not may_everywhere(user, Action.EDIT_REGISTER):
        raise PermissionDenied


class _TableView(VerbView[Row]):
    """Twelve months; `?unit=` says in what they are entered."""

    button = _("Keep this table")
    lead = _(
        "Long-term means of each month. Figures worked out from them are estimates; single "
        "months and days of a year, loaded from a file, go before them."
    )
    template_name = "sites/climate/months.html"
    has_name = False

    @cached_property
    def means(self) -> list[ClimateRow]:
        """The twelve months that are kept."""
        return []

    @cached_property
    def units(self) -> Property:
        """Something that has the units in which depths are entered."""
        place = self.get_place()
        system = Units.METRIC if place is not None and place.units == Units.METRIC else Units.US
        wanted = self.request.GET.get("unit", "")
        return Property(units={"mm": Units.METRIC, "in": Units.US}.get(wanted, system))

    def get_form(self) -> ClimateTableForm:
        return ClimateTableForm(
            self.posted, rows=self.means, units=self.units, has_name=self.has_name
        )

    def get_watched(self) -> Sequence[Model]:
        return self.means

    def get_extra(self) -> dict[str, object]:
        return {"is_mm": self.units.units == Units.METRIC}

    def get_back(self) -> str:
        return reverse("sites:climate")

    def get_crumbs(self) -> Crumbs:
        return [(reverse("sites:climate"), _("Climate tables"))]


class ClimateAdd(_TableView[None]):
    """Enter a shared table."""

    verb = add_climate_table
    heading = _("Add a climate table")
    done = _("Kept. Say at each property that this table holds there.")
    has_name = True

    def find(self) -> None:
        refuse_unless_everywhere(self.user)


def _left_out_words(lines: Sequence[str]) -> str:
    """Name the lines of a weather file that could not be used: the first ones, and how many."""
    if not lines:
        return ""
    words = ngettext("%s line was left out:", "%s lines were left out:", len(lines)) % len(lines)
    more = " …" if len(lines) > MOST_LINES_NAMED else ""
    return f"{words} {' '.join(lines[:MOST_LINES_NAMED])}{more}"


class ClimateWeather(VerbView[None]):
    """Compute a shared table of days from a file of raw weather."""

    verb = work_out_weather
    heading, button = _("Work out a climate table from weather"), _("Work it out")
    lead = _("A day that lacks its temperatures stays missing; nothing is filled in.")

    def find(self) -> None:
        refuse_unless_everywhere(self.user)

    def get_form(self) -> WeatherForm:
        return WeatherForm(self.posted, self.request.FILES or None)

    def get_back(self) -> str:
        return reverse("sites:climate")

    def get_crumbs(self) -> Crumbs:
        return [(reverse("sites:climate"), _("Climate tables"))]

    def get_done(self) -> Text:
        worked_out = self.result
        days = _(
            "%(full)s days worked out in full, %(estimated)s estimated from temperatures alone, "
            "%(missing)s left missing."
        ) % {
            "full": worked_out.full,
            "estimated": worked_out.estimated,
            "missing": worked_out.missing,
        }
        return f"{days} {_left_out_words(worked_out.left_out)}".strip()


class ClimateTable(_TableView[str]):
    """One shared table, named by `?table=`; a user with a grant on everything may change it."""

    verb = change_climate_table
    takes = "name"
    heading = _("Climate table %s")
    done = _("Kept. What follows from it is recalculated.")

    def find(self) -> str:
        return self.request.GET.get("table", "")

    @cached_property
    def rows(self) -> list[ClimateRow]:
        """The rows of the table that the user may see."""
        return list(climate_rows_of(self.user, self.row)[:MOST_ROWS]) if self.row else []

    @cached_property
    def means(self) -> list[ClimateRow]:
        """The twelve months that are kept."""
        return means_of(self.row)

    @property
    def dated(self) -> list[ClimateRow]:
        """Its single months and days."""
        return [row for row in self.rows if row.year is not None]

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Show the table to those who may not change it."""
        if self.rows and not may_everywhere(self.user, self.may_do):
            context = {"name": self.row, "means": self.means, "dated": self.dated}
            context["crumbs"] = self.get_crumbs()
            return render(request, "sites/climate/table.html", context)
        return super().get(request, *args, **kwargs)

    def elsewhere(self) -> str:
        return "" if self.rows else self.get_back()

    def get_extra(self) -> dict[str, object]:
        return {**super().get_extra(), "dated": self.dated, "table": self.row}


class PropertyClimate(PropertyView):
    """Which shared table holds at a property."""

    verb = choose_climate_table
    heading = _("Climate at %s")
    lead = _("A table of the property's own goes before the shared one.")
    done = _("Kept. What staying off central costs here is recalculated.")
    template_name = "sites/climate/choose.html"

    @cached_property
    def names(self) -> list[str]:
        """The tables that can be chosen, the one that holds among them."""
        names, own = shared_names(self.user), self.row.climate_table
        return [own, *names] if own and own not in names else names

    def get_form(self) -> ChooseTableForm:
        initial = {"name": self.row.climate_table}
        return ChooseTableForm(self.posted, names=self.names, initial=initial)

    def get_back(self) -> str:
        return reverse("reports:property_water", args=[self.row.ref])

    def get_extra(self) -> dict[str, object]:
        return {"place": self.row, "own": self.row.climate.count(), "names": self.names}


class PropertyClimateOwn(_TableView[Property], PropertyView):
    """Twelve months of the property's own."""

    verb = add_climate_table
    change = change_climate_table
    heading = _("%s: a climate table of its own")
    done = _("Kept. What staying off central costs here is recalculated.")

    @cached_property
    def means(self) -> list[ClimateRow]:
        """The twelve months that are kept."""
        return means_of(self.row.code, self.row)

    def get_verb(self) -> Callable[..., Any]:
        return type(self).change if self.means else type(self).verb

    def get_watched(self) -> Sequence[Model]:
        return [self.row, *self.means]

    def named(self, verb: Callable[..., Any], data: dict[str, object]) -> dict[str, object]:
        return super().named(verb, {**data, "name": self.row.code})

    def get_back(self) -> str:
        return reverse("sites:property_climate", args=[self.row.ref])

    def get_crumbs(self) -> Crumbs:
        return property_crumbs(self.row)
