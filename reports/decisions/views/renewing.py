"""Renew first: all legs with a fault, weighed, and the best set within a budget."""

from collections.abc import Sequence
from datetime import date
from typing import Any, NamedTuple

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone

from faults.prices.services.holding import currencies_of
from reports.decisions.forms import RenewForm
from reports.decisions.queries import costs_for
from reports.decisions.services.weighing import Answer, LegWeighed, weigh_all
from reports.decisions.services.words import advice, not_weighed, written
from reports.hotspots.queries import places_in_view, standing_by_leg
from reports.hotspots.services.past import past_of, past_words
from reports.hotspots.services.ranking import look_at_all
from reports.hotspots.views.hotspot_parts import when_made
from reports.models import Decision
from sites.kernel.access import SignedInRequest, actions_anywhere, page_for, properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.table_files import list_file, wanted_file
from sites.models import Property

MOST_INSIDE, MOST_SHOWN = 60, 12


class _Line(NamedTuple):
    """One row of the page."""

    leg: LegWeighed
    advice: str
    decision: Decision | None


@page_for(Action.SEE_RATES)
@when_made
def renew_first(request: SignedInRequest) -> HttpResponse:
    """Weigh every leg with a fault, with what people typed; all of it stands in the address."""
    priced = list(properties_for(request.user, Action.SEE_RATES).order_by("pk"))
    keys = {place.pk for place in priced}
    places = [place for place in places_in_view(request.user) if place.pk in keys]
    today = timezone.localdate()
    past = past_of(priced, today=today)
    form = RenewForm(request.GET, places=places, past=past)
    assumed = form.assumed()
    mine = set(costs_for(request.user, Action.DECIDE).values_list("pk", flat=True))
    context: dict[str, Any] = {
        "form": form,
        "past_words": past_words(past) if past else "",
        "kept": [(row, row.pk in mine) for row in costs_for(request.user)],
        "may_decide": Action.DECIDE in actions_anywhere(request.user),
        "typed": form.typed_costs(),
    }
    chosen = form.chosen
    currencies = _currencies([chosen] if chosen else places, today)
    if len(currencies) > 1:
        context["apart"] = ", ".join(currencies)
    elif assumed is not None:
        currency = "".join(currencies)
        context["money"] = f"\u00a0{currency}" if currency else ""
        view = look_at_all(request.user, today=today)
        answer = weigh_all(view, assumed, among=[chosen] if chosen else places)
        if kind := wanted_file(request):
            return list_file(written(answer, currency), kind=kind)
        context |= _shown(request, answer)
    return render(request, "reports/decisions/renew.html", context)


def _currencies(places: Sequence[Property], today: date) -> list[str]:
    """Return the currencies of their price lists; empty where none says one."""
    clients = {place.pk: place.client_id for place in places}
    return sorted({each for each in currencies_of(clients, today).values() if each})


def _shown(request: SignedInRequest, answer: Answer) -> dict[str, Any]:
    shown = answer.made([*answer.first[:MOST_INSIDE], *answer.rest[:MOST_SHOWN]])
    decided = standing_by_leg([one.key for one in shown])
    actions = actions_anywhere(request.user)
    rows = [_Line(one, advice(one, answer), decided.get(one.key)) for one in shown]
    carried = request.GET.copy()
    carried.pop("export", None)
    return {
        "answer": answer,
        "not_observed": not_weighed(answer, answer.not_observed),
        "not_priced": not_weighed(answer, answer.not_priced),
        "inside": [row for row in rows if row.leg.is_in],
        "outside": [row for row in rows if not row.leg.is_in],
        "inside_not_shown": max(0, len(answer.first) - MOST_INSIDE),
        "not_shown": max(0, len(answer.rest) - MOST_SHOWN),
        "may_export": Action.EXPORT in actions,
        "query": carried.urlencode(),
    }
