"""What is due: the list, with ticks for many lines at once."""

from typing import Any

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone

from faults.due.forms import DueFilter
from faults.due.queries import totals_of
from faults.due.services.lines import chosen_rows, filtered, lines_of
from faults.due.views.due_many import DueMany
from sites.kernel.access import SignedInRequest, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.paging import LateRows, chips_of
from sites.kernel.views.acted import acted_here, ticking
from sites.kernel.views.many import ACTED
from sites.register.queries.stations import days_by_zone

A_PAGE = 50


@page_for(Action.SEE_WORK)
def due(request: SignedInRequest) -> HttpResponse:
    """What is overdue, due today and coming; or what was done lately."""
    form = DueFilter(request.GET)
    chosen = form.chosen()
    days = days_by_zone(timezone.now())
    rows = filtered(request.user, chosen, today=max(days.values(), default=None))
    late: Any = LateRows(chosen_rows(request.user, chosen, days))
    page = Paginator(late, A_PAGE).get_page(request.GET.get("page", "1"))
    groups = lines_of(page.object_list, days, request.user)
    context: dict[str, object] = {
        "form": form,
        "chips": chips_of(request, form, without=("page", ACTED)),
        "page": page,
        "groups": groups,
        "totals": totals_of(rows, days),
        "is_done": chosen["show"] == "done",
        "query_page": _without(request, "page"),
        "query_when": _without(request, "page", "when"),
        **acted_here(request),
        **ticking(
            DueMany,
            request.user,
            refs=[ref for group in groups for ref in group.refs.split()],
            total=page.paginator.count,
        ),
    }
    return render(request, "faults/due/due.html", context)


def _without(request: SignedInRequest, *names: str) -> str:
    asked = request.GET.copy()
    for name in (*names, ACTED):
        asked.pop(name, None)
    query: str = asked.urlencode()
    return query
