"""Moves: whose move it is, for whom, since when, and the link that moves it on."""

from collections.abc import Iterable, Iterator
from datetime import datetime
from itertools import groupby
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext as _

from faults.models import Wait
from faults.templatetags.waits import mover_word, waits_word
from faults.waits.forms.whose import MovesFilter
from faults.waits.queries.moves import (
    MoveGroup,
    grouped,
    groups_of,
    groups_shown,
    moves_for,
    open_faults_without_waits,
)
from faults.waits.services.on_central import waits_on_central
from faults.waits.views.next_moves import next_move
from sites.cells.services.shown import Cell
from sites.cells.services.writing import Written
from sites.kernel.access import SignedInRequest, actions_anywhere, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.table_files import ROWS_AT_ONCE, list_file, wanted_file
from sites.models import today_at
from sites.register.views.lists import wants_fragment

GROUPS_A_PAGE = 40
MOST_ON_CENTRAL = 40


@page_for(Action.SEE_WORK)
def moves(request: SignedInRequest) -> HttpResponse:
    """Everything off central by whose move it is, or its lines when htmx asks, or a file."""
    at = timezone.now()
    filtered = MovesFilter(request.GET, queryset=moves_for(request.user), user=request.user)
    if kind := wanted_file(request):
        return list_file(_written(filtered.qs, at), kind=kind)
    page = _page(request, grouped(filtered.qs))
    groups = groups_of(filtered.qs, list(page))
    context: dict[str, object] = {
        "filter": filtered,
        "page": page,
        "sections": _sections(request, groups, at),
    }
    if not wants_fragment(request):
        context |= _on_central(request, at)
    template = "faults/moves/_lines.html" if wants_fragment(request) else "faults/moves/moves.html"
    response = render(request, template, context)
    patch_vary_headers(response, ["HX-Request", "HX-History-Restore-Request"])
    return response


def _on_central(request: SignedInRequest, at: datetime) -> dict[str, object]:
    """The oldest of the open faults that hold no station off central with what they wait on, and
    how many more there are."""
    faults = open_faults_without_waits(request.user).select_related("property")
    shown = list(faults.order_by("reported_on", "pk")[:MOST_ON_CENTRAL])
    groups = groups_shown(waits_on_central(shown, at=at)) if shown else []
    return {
        "other_lines": _lines(request, groups, at),
        "others_more": faults.count() - len(shown) if len(shown) == MOST_ON_CENTRAL else 0,
    }


def _page(request: SignedInRequest, rows: QuerySet[Wait, dict[str, Any]]) -> Page[Any]:
    """Return the requested page; the first one comes with the number of all in one statement."""
    paginator, asked = Paginator(rows, GROUPS_A_PAGE), request.GET.get("page", "1")
    if asked == "1" and (first := list(rows[:GROUPS_A_PAGE])):
        paginator.count = first[0]["total"]
        return Page(first, 1, paginator)
    return paginator.get_page(asked)


def _sections(request: SignedInRequest, groups: list[MoveGroup], at: datetime) -> list[object]:
    """By whose move, then by what they wait on; each line with its days and its next step."""
    return [
        (mover, [(on, _lines(request, same, at)) for on, same in groupby(those, _on)])
        for mover, those in groupby(groups, lambda group: group.mover)
    ]


def _lines(
    request: SignedInRequest, groups: Iterable[MoveGroup], at: datetime
) -> list[dict[str, object]]:
    allowed = actions_anywhere(request.user)
    return [
        {
            "group": group,
            "days": max(0, (today_at(group.place, at) - group.since).days),
            "next": next_move(group, allowed),
        }
        for group in groups
    ]


def _on(group: MoveGroup) -> str:
    return group.waits_on


def _written(waits: QuerySet[Wait], at: datetime) -> Written:
    headings = [
        *(_("Whose move"), _("Waits on"), _("Waits since"), _("Days"), _("Until"), _("Fault")),
        *(_("Client"), _("Property"), _("Station"), _("Name")),
    ]
    return Written(_("Moves"), headings, lambda: _rows(waits, at))


def _rows(waits: QuerySet[Wait], at: datetime) -> Iterator[list[Cell]]:
    rows = waits.select_related("fault", "station__controller__property__client")
    ordered = rows.order_by("mover", "waits_on", "since", "pk")
    for wait in ordered.iterator(chunk_size=ROWS_AT_ONCE):
        place = wait.station.controller.property
        yield [
            *(mover_word(wait.mover), waits_word(wait.waits_on), wait.since),
            *(max(0, (today_at(place, at) - wait.since).days), wait.until or ""),
            *(str(wait.fault or ""), place.client.name, place.code),
            *(str(wait.station), wait.station.name),
        ]
