"""What the pages of hotspots share: the filter from the query string, and the parts shown."""

from collections.abc import Callable, Sequence
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django_tables2 import RequestConfig

from reports.hotspots.charts import (
    causes_figure,
    causes_title,
    covers_figure,
    curves_figure,
    funnel_figure,
    months_figure,
    months_title,
    rates_title,
)
from reports.hotspots.engines.scan import together
from reports.hotspots.forms import ScopeForm
from reports.hotspots.queries import picture_of, places_in_view
from reports.hotspots.services.pictures import (
    Compared,
    Curves,
    compare,
    covers_of,
    curves_of,
    funnel_of,
    last_year_against_before,
    months_of,
    neighbours_of,
    shares_of,
    side_of,
)
from reports.hotspots.services.ranking import View, look
from reports.hotspots.services.rows import Row
from reports.hotspots.services.whole_legs import Stretch
from reports.hotspots.services.words import along_words, comparison_words, number, trend_words
from reports.hotspots.tables import HotspotTable, RankedRows
from reports.places.services.plans import address_of
from reports.summaries.services.summaries import NotMadeYet
from sites.ground.charts.bases import best_base
from sites.ground.charts.plan import Shown, plan
from sites.kernel.access import SignedInRequest
from sites.kernel.lazily import np
from sites.kernel.paging import turn
from sites.models import Property
from sites.register.queries.stations import legs_of
from sites.runs.services import watch_run

MOST_LEGS_DRAWN = 3000
CARRIED = ("place", "first", "last", "causes")


def asked_for(request: SignedInRequest) -> ScopeForm:
    """Return the filter from the query string; values that are not valid fall back to defaults."""
    places = places_in_view(request.user)
    return ScopeForm(request.GET, places=places, today=timezone.localdate())


def when_made(
    view: Callable[..., HttpResponse],
) -> Callable[..., HttpResponse]:
    """Show how far the work is while what a page counts over is being made."""

    @wraps(view)
    def shown(request: HttpRequest, **named: Any) -> HttpResponse:
        is_waiting = request.headers.get("HX-Target") == "made"
        try:
            answer = view(request, **named)
        except NotMadeYet as not_yet:
            page = "reports/_hotspots_made.html" if is_waiting else "reports/hotspots_made.html"
            watched = watch_run(run=not_yet.run, at=timezone.now())
            context = {"watched": watched, "heading": not_yet.heading, "lead": not_yet.lead}
            return render(request, page, context)
        if is_waiting:
            answer["HX-Refresh"] = "true"
        return answer

    return shown


def view_of(form: ScopeForm) -> View:
    """Return what is in view, ranked."""
    places = [form.chosen] if form.chosen else list(form.places.values())
    return look(places, form.scope, by_properties=form.by_properties)


def carried(request: HttpRequest) -> str:
    """Return the part of the address that holds on every page of hotspots."""
    values = request.GET.copy()
    for name in list(values):
        if name not in CARRIED or not values[name]:
            del values[name]
    return values.urlencode()


def ranked_table(request: HttpRequest, view: View) -> HotspotTable:
    """Return the table, ordered and turned to the requested page."""
    rows = RankedRows(view.rows)
    table = HotspotTable(rows, query=carried(request), by_properties=view.by_properties)
    if len(set(view.watched.evidence.owner.tolist())) == 1:
        table.columns.hide("place")
    RequestConfig(request, paginate=False).configure(table)
    turn(request, table)
    return table


def whole_page(form: ScopeForm, view: View) -> dict[str, Any]:
    """Return everything beside the table."""
    context: dict[str, Any] = {
        **causes_seasons_covers(view),
        **told("year", last_year_against_before(view)),
        "neighbours": neighbours_of(view) if form.chosen else None,
        **_curves(curves_of(view, view.flagged_stretches)),
    }
    if (funnel := funnel_of(view)) is not None:
        context["funnel"] = funnel
        context["funnel_figure"] = funnel_figure(funnel)
    if form.chosen:
        context |= _plan(form.chosen, view)
    if form.chosen and form.other:
        other = look([form.other], form.scope)
        sides = (side_of(str(form.chosen), view), side_of(str(form.other), other))
        context |= told("compared", compare(*sides))
    return context


def told(name: str, compared: Compared | None) -> dict[str, Any]:
    """Return a comparison with its words, under names that begin with `name`."""
    if compared is None:
        return {}
    return {
        name: compared,
        f"{name}_words": comparison_words(compared.found),
        f"{name}_sides": (compared.first, compared.second),
    }


def causes_seasons_covers(view: View) -> dict[str, Any]:
    """Return what is known of causes, months and covers, each with chart and title."""
    shares, months, covers = shares_of(view), months_of(view), covers_of(view)
    return {
        "shares": shares,
        "causes_title": causes_title(shares, view.leading_cause),
        "causes_figure": causes_figure(shares),
        "months": months,
        "months_title": months_title(months),
        "months_figure": months_figure(months),
        "covers": covers,
        "covers_title": rates_title(covers),
        "covers_figure": covers_figure(covers),
    }


def _curves(curves: Curves, these: str = "") -> dict[str, Any]:
    words = these or _("each flagged leg")
    title = _("A leg has %s faults by now, on average") % _last_mean(curves.rest)
    if curves.these:
        title = _("Faults by now: %(these)s %(n)s, each of the others %(rest)s") % {
            "these": words,
            "n": _last_mean(curves.these),
            "rest": _last_mean(curves.rest),
        }
    return {
        "curves": curves,
        "curves_title": title,
        "curves_figure": curves_figure(curves, words, _("the others")),
        "these_words": words,
    }


def _last_mean(points: Sequence[Any]) -> str:
    return number(points[-1].mean) if points else "0"


def _plan(place: Property, view: View) -> dict[str, Any]:
    """Return the property's plan, and the row that each of its legs belongs to."""
    legs = legs_of(place, most=MOST_LEGS_DRAWN)
    picture = picture_of(place)
    points = list({p.pk: p for leg in legs for p in (leg.from_point, leg.to_point)}.values())
    drawn = plan(
        legs,
        [],
        base=best_base(points, picture),
        picture=picture,
        shown=Shown(leg_address=address_of("reports:hotspot_leg")),
    )
    rows, evidence = {row.at: row for row in view.rows}, view.watched.evidence
    owners = view.row_numbers[evidence.part_of].tolist()
    parts = zip(evidence.part_leg.tolist(), owners, strict=True)
    by_leg = {leg: rows[owner] for leg, owner in parts if owner in rows}
    return {"plan": drawn, "plan_rows": by_leg, "place": place}


def leg_parts(view: View, row: Row, one: Stretch) -> dict[str, Any]:
    """Return what a leg's own page shows of its faults: where, when, against the others."""
    this_leg = np.arange(len(view.watched)) == row.members[0]
    places_ft = [event.along_ft for event in one.events if event.along_ft is not None]
    trend_title, trend_line = trend_words(row)
    return {
        "along_title": along_words(together(places_ft, one.length_ft), one.place),
        "trend_title": trend_title,
        "trend_words": trend_line,
        **_curves(curves_of(view, this_leg), _("this leg")),
    }
