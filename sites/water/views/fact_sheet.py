"""What is missing at a property, as one sheet: checked cell by cell, kept all at once."""

from collections.abc import Iterator
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Model
from django.http import HttpResponse, JsonResponse
from django.utils.functional import cached_property
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_POST

from sites.kernel.access import SignedInRequest, find, page_for, properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_help import PropertyView
from sites.kernel.views.verb_views import Text
from sites.models import MainValve, Property, Station, today_at
from sites.water.forms.fact_sheet import LABELS, FactSheetForm
from sites.water.queries.fact_sheet import (
    COLUMNS,
    FactRow,
    fact_rows,
    mains_of,
    meters_known,
    sheet_stations,
)
from sites.water.services.fact_sheet import (
    UnableToFillIn,
    cell_name,
    fill_in_facts,
    would_be_known,
)

A_PAGE = 60


def _sent(place: Property, refs: str) -> list[Station]:
    """Return the stations of a sheet that was sent, whatever became of them since."""
    rows = sheet_stations(place, only_off=False)
    return list(rows.filter(ref__in=refs.split()[:A_PAGE]))


class MissingFacts(PropertyView):
    """One sheet of what is missing: stations off central, or `?show=all` of them."""

    verb = fill_in_facts
    heading, button = _("What is missing at %s"), _("Keep all of it")
    template_name = "sites/water/missing.html"

    @cached_property
    def mains(self) -> list[Station]:
        """What a station may depend on."""
        return mains_of(self.row)

    @cached_property
    def shows_all(self) -> bool:
        """Whether stations on central control are on the sheet too."""
        is_any_off = sheet_stations(self.row, only_off=True).exists()
        return self.request.GET.get("show") == "all" or not is_any_off

    @cached_property
    def page(self) -> Page[Any]:
        """The stations of this page."""
        rows = sheet_stations(self.row, only_off=not self.shows_all)
        return Paginator(rows, A_PAGE).get_page(self.request.GET.get("page", "1"))

    @cached_property
    def rows(self) -> list[FactRow]:
        """The rows of the sheet; of one that was sent, those that it had."""
        sent = self.posted
        if sent is not None:
            stations = _sent(self.row, sent.get("refs", ""))
        else:
            stations = list(self.page.object_list)
        return fact_rows(stations, has_mains=bool(self.mains))

    @cached_property
    def form(self) -> FactSheetForm:
        return _form(self.posted, self.row, self.rows, self.mains)

    def get_watched(self) -> list[Model]:
        # Each cell is compared with what stands there when it is kept.
        return []

    def get_lead(self) -> Text:
        return _(
            "Fill in what you know, or paste it from a spreadsheet. What stands in words is known "
            "already. Write “never” where it was never written down: then nobody is asked again."
        )

    def arguments(self, data: dict[str, Any]) -> dict[str, Any]:
        del data
        cells = self.form.cells
        return {"place": self.row, "rows": self.rows, "cells": cells, "today": self.today}

    def act(self, data: dict[str, Any]) -> Text:
        try:
            return super().act(data)
        except UnableToFillIn as refusal:
            for name, words in refusal.problems[1:]:
                self.form.add_error(name if name in self.form.fields else None, words)
            raise

    def get_done(self) -> Text:
        known, total = meters_known(self.row)
        words = {"n": self.result, "known": known, "total": total}
        return str(
            _("Kept: %(n)s. The water of %(known)s of %(total)s stations off central is known.")
            % words
        )

    def get_after(self) -> str:
        return self.request.get_full_path()

    def get_extra(self) -> dict[str, Any]:
        known, total = meters_known(self.row)
        refs = [row.station.ref for row in self.rows]
        asked = [
            each
            for each in COLUMNS
            if any(cell_name(ref, each) in self.form.fields for ref in refs)
        ]
        readers = self.form.readers
        return {
            "place": self.row,
            "columns": [(LABELS[name], readers.unit(name)) for name in asked],
            "lines": list(_lines(self.form, asked)),
            "refs": " ".join(refs),
            "known": known,
            "total": total,
            "page": self.page,
            "shows_all": self.shows_all,
            "mains": self.mains,
            "ways": MainValve.labels,
            "listed": ("depends_on", "main_valve"),
        }


def _form(sent: Any, place: Property, rows: list[FactRow], mains: list[Station]) -> FactSheetForm:
    return FactSheetForm(sent, place=place, rows=rows, mains=mains, today=today_at(place))


def _lines(form: FactSheetForm, columns: list[str]) -> Iterator[tuple[Station, list[object]]]:
    """Yield each station with its cells: a field, or what is known in words."""
    for row in form.rows:
        cells: list[object] = []
        for column in columns:
            name = cell_name(row.station.ref, column)
            field = form[name] if name in form.fields else None
            known = form.readers.shown(column, row.value(column))
            cells.append({"field": field, "known": known, "column": column})
        yield row.station, cells


@require_POST
@page_for(Action.EDIT_REGISTER)
def missing_facts_check(request: SignedInRequest, ref: str) -> HttpResponse:
    """What is wrong with the cells of a sheet, and what they would make known; keeps nothing."""
    place = find(properties_for(request.user, Action.EDIT_REGISTER), ref=ref)
    mains = mains_of(place)
    rows = fact_rows(_sent(place, request.POST.get("refs", "")), has_mains=bool(mains))
    form = _form(request.POST, place, rows, mains)
    problems = {name: " ".join(map(str, words)) for name, words in form.errors.items()}
    known, total = meters_known(place)
    more = would_be_known(rows, form.cells)
    return JsonResponse(
        {"problems": problems, "filled": len(form.cells), "known": known + more, "total": total}
    )
