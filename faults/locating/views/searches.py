"""Where it is broken: what is likely, what to do next, what each test did; and all searches."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.access import searches_for
from faults.locating.charts.search_strip import search_strip
from faults.locating.engines.options import Stand
from faults.locating.engines.plain import stand_from
from faults.locating.engines.plain_values import UnusablePlain
from faults.locating.forms.search_filter import SearchFilter
from faults.locating.queries import last_search_of, searches_listed
from faults.locating.services.around import about
from faults.locating.services.beliefs import Believed
from faults.locating.services.finding_words import finding_lines
from faults.locating.services.lead_words import (
    feet_words,
    lead_words,
    neighbours_words,
    ruled_words,
)
from faults.locating.services.line import NoLine
from faults.locating.services.promises import promises_kept
from faults.locating.services.shown import first_and_others, next_lines, tried_lines
from faults.locating.services.standing import last_stand, with_tone
from faults.locating.services.states import readings_of, state_of
from faults.locating.services.words import place_lines, share_words
from faults.locating.tables import SearchTable
from faults.locating.views.search_common import SLUGS, crumbs, fault_and_station
from faults.models import Fault
from sites.kernel.access import SignedInRequest, may, page_for
from sites.kernel.engines.roles import Action
from sites.models import Station, today_at
from sites.register.views.lists import list_page


@page_for(Action.SEE_WORK)
def where(request: SignedInRequest, ref: str, station: str) -> HttpResponse:
    """Where one station's wire is broken, most likely, and which test ends the search soonest.

    As a fragment for the fault's page where htmx asks for it.
    """
    fault, one = fault_and_station(request, ref, station, Action.SEE_WORK)
    is_fragment = bool(getattr(request, "htmx", False))
    context = {
        "fault": fault,
        "place": fault.property,
        "station": one,
        "crumbs": crumbs(fault),
        "may_test": may(request.user, Action.TAKE_READINGS, fault.property),
        "may_split": may(request.user, Action.CHANGE_GROUND, fault.property),
        "is_fragment": is_fragment,
        **_shown(request, fault, one),
    }
    name = "faults/searches/_where.html" if is_fragment else "faults/searches/where.html"
    answer = render(request, name, context)
    answer["Vary"] = "HX-Request, Cookie"
    return answer


def _shown(request: SignedInRequest, fault: Fault, station: Station) -> dict[str, Any]:
    search = last_search_of(fault, station)
    rows = readings_of(search)
    now = timezone.now()
    is_open = search is not None and search.ended_at is None
    context: dict[str, Any] = {"search": search, "is_open": is_open}
    try:
        state = state_of(fault, station, search, today=today_at(fault.property, now), rows=rows)
    except NoLine as problem:
        return context | {"refusal": str(problem)}
    stand = _stand(request, state)
    first, others = first_and_others(next_lines(state, stand))
    belief = state.belief or state.effects[-1].before
    places, rest = place_lines(belief, state.ground)
    names = {
        "controller": station.controller.name,
        "valve": _("valve"),
        "run": _("the whole run"),
    }
    return context | {
        "state": state,
        "ground": state.ground,
        "drawn": search_strip(state, names),
        "places": places,
        "rest": rest,
        "rest_words": share_words(rest),
        "feet_words": feet_words(belief, fault.property),
        "ruled_words": ruled_words(state, fault.property),
        "neighbours_words": neighbours_words(state),
        "counted": [each.words for each in state.known if each.row is None],
        "lead": lead_words(state, fault.property, search),
        "kinds": [(slug, kind.label) for slug, kind in SLUGS.items()],
        "findings": finding_lines(state, about(fault, search, at=now, stand=stand)),
        "next": first,
        "others": others,
        "stand": state.ground.points[stand.at],
        "points": [(pk, state.ground.names[pk]) for pk in state.ground.points],
        "tests": tried_lines(state, rows),
    }


def _stand(request: SignedInRequest, state: Believed) -> Stand:
    """Where the technician says to stand, or was last, or else the controller."""
    try:
        chosen = stand_from({"at": int(request.GET.get("at", ""))}, state.ids)
    except (ValueError, UnusablePlain):
        return last_stand(state)
    return with_tone(chosen, state)


@page_for(Action.SEE_WORK)
def searches(request: SignedInRequest) -> HttpResponse:
    """All searches: what the plan promised, and what it took."""
    return list_page(
        request,
        heading=_("Searches"),
        none_yet=_("No search was begun yet."),
        rows=searches_listed(request.user),
        filter_class=SearchFilter,
        table_class=SearchTable,
        lead=promises_kept(searches_for(request.user)),
    )
