"""Where faults keep coming back: the ranking, one leg, one cause, and what renewing is worth."""

from itertools import islice
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_vary_headers

from reports.hotspots.charts import places_figure
from reports.hotspots.forms import CAUSES, ScopeForm, WorthForm
from reports.hotspots.queries import key_of_whole
from reports.hotspots.services.helping import depths_of, ways_of, ways_title, years_of
from reports.hotspots.services.mattering import few_that_matter
from reports.hotspots.services.past import past_at
from reports.hotspots.services.ranking import View, look, look_at_all
from reports.hotspots.services.renewal_costs import leg_cost, which_counts
from reports.hotspots.services.renewing import before_and_after
from reports.hotspots.services.replacing import (
    DEFAULTS,
    labour_words,
    swing_words,
    verdict,
    worth_of,
)
from reports.hotspots.services.rows import Row
from reports.hotspots.services.scope import Scope
from reports.hotspots.services.words import headline, power_words, stands_on, why
from reports.hotspots.tables import written
from reports.hotspots.views.hotspot_parts import (
    CARRIED,
    asked_for,
    carried,
    causes_seasons_covers,
    leg_parts,
    ranked_table,
    told,
    view_of,
    when_made,
    whole_page,
)
from sites.kernel.access import SignedInRequest, actions_anywhere, find, legs_for, may, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.table_files import list_file, wanted_file
from sites.models import Leg, Units
from sites.register.views.lists import wants_fragment

MOST_LEGS_OF_A_CAUSE = 12
_LEG = ("property", "from_point", "to_point")


@page_for(Action.SEE_HOTSPOTS)
@when_made
def hotspots(request: SignedInRequest) -> HttpResponse:
    """The ranking with everything that explains it; only its table when htmx asks."""
    form = asked_for(request)
    view = view_of(form)
    table = ranked_table(request, view)
    if kind := wanted_file(request):
        rows = table.data.data
        return list_file(written(rows, by_properties=view.by_properties), kind=kind)
    context: dict[str, Any] = {"form": form, "view": view, "table": table}
    is_fragment = wants_fragment(request)
    if not is_fragment:
        words = {"headline": headline(view), "power_words": power_words(view)}
        context |= {**words, **whole_page(form, view), "query": carried(request)}
        context["few"] = few_that_matter(view, user=request.user)
        context["sees_prices"] = Action.SEE_RATES in actions_anywhere(request.user)
        # Who turns a page, sorts, or has nothing flagged before them came for the whole list.
        context["is_deep"] = not context["few"] or bool({"page", "sort"} & request.GET.keys())
    page = "sites/_rows.html" if is_fragment else "reports/hotspots.html"
    response = render(request, page, context)
    patch_vary_headers(response, ["HX-Request", "HX-History-Restore-Request"])
    return response


def _leg_in_view(request: SignedInRequest, ref: str) -> tuple[Leg, ScopeForm, View, Row | None]:
    """Return a leg that the user may see with all that is in view around it."""
    rows = legs_for(request.user, Action.SEE_HOTSPOTS)
    leg = find(rows.select_related(*_LEG), ref=ref)
    form = asked_for(request)
    if form.chosen is not None and form.chosen.pk != leg.property_id:
        raise Http404
    view = view_of(form)
    seen = view.collected_of(leg.property)
    return leg, form, view, view.row_of(seen.root_of.get(leg.pk, leg.pk))


@page_for(Action.SEE_HOTSPOTS)
@when_made
def hotspot_leg(request: SignedInRequest, ref: str) -> HttpResponse:
    """One leg: why it stands where it does, where and when it fails, before and after."""
    leg, form, view, row = _leg_in_view(request, ref)
    place = leg.property
    context: dict[str, Any] = {"leg": leg, "place": place, "view": view, "row": row}
    context |= {"query": carried(request), "power_words": power_words(view)}
    context |= {
        "decision": stands_on(leg),
        "may_decide": may(request.user, Action.DECIDE, place),
    }
    seen = view.collected_of(place)
    context["is_outside"] = place in view.places and seen.root_of[leg.pk] in seen.unsurveyed
    if row is not None:
        one = row.first
        unit = "m" if place.units == Units.METRIC else "ft"
        context |= {
            **leg_parts(view, row, one),
            "why": why(row),
            "places_figure": places_figure(one.events, one.length_ft, unit),
            **told("renewed", before_and_after([one], seen, form.scope.to_on)),
            "may_weigh": may(request.user, Action.SEE_RATES, place),
        }
    return render(request, "reports/hotspot_leg.html", context)


@page_for(Action.SEE_RATES)
@when_made
def hotspot_worth(request: SignedInRequest, ref: str) -> HttpResponse:
    """Repair or replace one leg, with what people typed; all of it stands in the address."""
    leg = find(legs_for(request.user, Action.SEE_RATES).select_related(*_LEG), ref=ref)
    # Whatever days and causes Hotspots shows: a leg has one chance to pay, on every page.
    view = look_at_all(request.user, today=timezone.localdate())
    row = view.row_of(key_of_whole(leg))
    query = carried(request)
    if row is None:
        return redirect(f"{reverse('reports:hotspot_leg', args=[leg.ref])}?{query}")
    typed = {name: request.GET[name] for name in WorthForm.base_fields if name in request.GET}
    kept = leg_cost(row, view)
    past = past_at(leg.property, request.user)
    form = WorthForm(
        {**DEFAULTS, **typed},
        labour=labour_words(leg.property),
        is_kept=kept is not None,
        past=past,
    )
    cost = leg_cost(row, view, form.typed())
    found = None
    if form.has_costs and cost is not None:
        found = worth_of(row, view, form.cleaned_data, cost, past)
    context = {"leg": leg, "place": leg.property, "row": row, "form": form, "found": found}
    context |= {"cost": cost, "cost_words": which_counts(cost, kept, leg.property)}
    context["may_decide"] = may(request.user, Action.DECIDE, leg.property)
    context["decision"] = stands_on(leg)
    context |= {"verdict": verdict(found, row) if found else "", "query": query}
    context["swings"] = [(swing_words(each), each) for each in found.swings] if found else []
    context["carried"] = [(name, value) for name in CARRIED if (value := request.GET.get(name))]
    return render(request, "reports/hotspot_worth.html", context)


@page_for(Action.SEE_HOTSPOTS)
def hotspot_cause(request: SignedInRequest) -> HttpResponse:
    """One cause: where, when, how deep, under what, and what helped."""
    form = asked_for(request)
    words = dict(CAUSES)
    cause = request.GET.get("cause") or CAUSES[0][0]
    if cause not in words:
        return redirect("reports:hotspots")
    scope = Scope(form.scope.to_on, form.scope.from_on, cause=cause)
    places = [form.chosen] if form.chosen else list(form.places.values())
    view = look(places, scope)
    ways = ways_of(view.stretches, scope.to_on)
    context: dict[str, Any] = {
        **causes_seasons_covers(view),
        "cause": cause,
        "cause_word": words[cause],
        "causes": CAUSES,
        "form": form,
        "view": view,
        "worst": list(islice((row for row in view.rows if row.located), MOST_LEGS_OF_A_CAUSE)),
        "depths": depths_of(view.found),
        "years": years_of(view.found),
        "ways": ways,
        "ways_title": ways_title(ways),
        **told(
            "renewed",
            before_and_after(view.stretches, view.collected, scope.to_on, cause=cause),
        ),
        "query": carried(request),
    }
    return render(request, "reports/hotspot_cause.html", context)
