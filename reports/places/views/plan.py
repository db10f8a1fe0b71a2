"""The site plan: a page of its own, or the part of a property's page that is fetched after it."""

from collections.abc import Sequence
from typing import Any

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext as _

from reports.places.services.plans import plan_of
from sites.ground.charts.bases import Base
from sites.ground.charts.plan import Plan
from sites.kernel.access import SignedInRequest, actions_on, find, page_for, properties_for
from sites.kernel.engines.roles import Action
from sites.register.views.lists import wants_fragment
from sites.templatetags.register import state_word

ROWS_A_PAGE = 50
STATES = ("linked", "off", "temporary", "not known", "outside")


@page_for(Action.SEE_REGISTER)
def property_plan(request: SignedInRequest, ref: str) -> HttpResponse:
    """The site plan, fetched after the page because a large one takes its time."""
    place = find(properties_for(request.user), ref=ref)
    words = {
        Base.PICTURE: _("Your plan picture"),
        Base.COORDINATES: _("Coordinates"),
        Base.SCHEMATIC: _("Schematic"),
    }
    context: dict[str, Any] = {
        **plan_of(place, request.GET.get("base", "")),
        "base_words": words,
        "may_here": actions_on(request.user, place),
        "legend": [(state, state_word(state)) for state in STATES],
    }
    context["choices"] = [(base, words[base]) for base in context["bases"]]
    if context["plan"]:
        context |= _rows(context["plan"], request.GET.get("legs"), request.GET.get("points"))
    page = "reports/_plan.html" if wants_fragment(request) else "reports/plan.html"
    response = render(request, page, context)
    patch_vary_headers(response, ["HX-Request", "HX-History-Restore-Request"])
    return response


def _rows(drawn: Plan, legs: str | None, points: str | None) -> dict[str, Any]:
    """Return a page of each list that says the plan in words, what needs work first."""
    by_breaks = sorted(drawn.legs, key=lambda line: (-line.breaks, str(line.leg), line.leg.pk))
    by_state = sorted(drawn.points, key=lambda dot: (not dot.is_off, dot.point.name, dot.point.pk))
    return {"leg_rows": _paged(by_breaks, legs), "point_rows": _paged(by_state, points)}


def _paged(rows: Sequence[object], number: str | None) -> Any:
    page: Any = Paginator(rows, ROWS_A_PAGE).get_page(number)
    page.shown_pages = list(page.paginator.get_elided_page_range(page.number, on_each_side=2))
    return page
