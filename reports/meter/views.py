"""What staying off central control costs: by property, by station, and what is missing."""

from datetime import timedelta
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext as _

from faults.prices.services.holding import currency_at
from reports.meter.charts import months_figure, months_title, properties_figure, properties_title
from reports.meter.services import (
    chosen_day,
    months_written,
    spells_of,
    stuck_open_with_water,
    tables_used,
)
from reports.meter.tables import MissingTable, PropertyExcessTable
from reports.off_central.forms import MissingFilter, PropertyExcessFilter
from reports.off_central.services.counted import counted_for, currencies_for
from sites.kernel.access import (
    SignedInRequest,
    actions_anywhere,
    actions_on,
    find,
    may,
    page_for,
    properties_for,
    stations_for,
)
from sites.kernel.engines.roles import Action
from sites.kernel.paging import arrange, is_narrowed
from sites.kernel.views.table_files import list_file, table_file, wanted_file
from sites.kernel.views.verb_help import today_at
from sites.register.views.lists import list_page, wants_fragment
from sites.templatetags.water import note_sentences
from sites.water.queries.climate import outages_of
from sites.water.queries.meters import (
    ledger_rows,
    meters_of_property,
    month_sums,
    not_known_rows,
    notes_of,
    properties_by_excess,
    totals,
    worst_by_excess,
)
from sites.water.services.ahead import if_it_stays

MOST_BARS = 15
MOST_MONTHS = 60
# Looking ahead recomputes each station.
MOST_AHEAD = 1000


@page_for(Action.SEE_OFF_CENTRAL)
def water(request: SignedInRequest) -> HttpResponse:
    """Excess by property, with the sums over all."""
    user = request.user
    filtered = PropertyExcessFilter(request.GET, queryset=properties_by_excess(user))
    sees_prices = Action.SEE_RATES in actions_anywhere(user)
    is_file = bool(wanted_file(request))
    currencies = currencies_for(user) if sees_prices else {}
    table = PropertyExcessTable(
        filtered.qs, sees_prices=sees_prices, currencies=currencies, is_file=is_file
    )
    every = counted_for(user)
    known_count = None if is_narrowed(filtered) else every.places_off
    rows = arrange(request, table, known_count=known_count)
    if kind := wanted_file(request):
        table.data.data = rows
        return table_file(table, heading=_("Excess by property"), kind=kind)
    context: dict[str, object] = {"filter": filtered, "table": table}
    is_fragment = wants_fragment(request)
    if not is_fragment:
        lines = worst_by_excess(every.sums, most=MOST_BARS)
        context |= {
            "totals": every.totals(currencies),
            "chart_title": properties_title(lines),
            "figure": properties_figure(lines) if lines else None,
            "lines": lines,
        }
    template = "sites/_rows.html" if is_fragment else "reports/water/properties.html"
    response = render(request, template, context)
    patch_vary_headers(response, ["HX-Request", "HX-History-Restore-Request"])
    return response


@page_for(Action.SEE_OFF_CENTRAL)
def water_missing(request: SignedInRequest) -> HttpResponse:
    """The stations of whose water something is not known, with the form to say it."""
    may_say = Action.EDIT_REGISTER in actions_anywhere(request.user)

    class Table(MissingTable):
        # A table takes its looks and its order from a Meta of its own only.
        class Meta(MissingTable.Meta):
            pass

        def __init__(self, rows: object, **given: Any) -> None:
            super().__init__(rows, may_say=may_say, **given)

    return list_page(
        request,
        heading=_("What is missing"),
        none_yet=_("Nothing is missing: what staying off costs is known everywhere."),
        rows=not_known_rows(request.user),
        filter_class=MissingFilter,
        table_class=Table,
        lead=_(
            "Of these stations it is not known what staying off central control costs. Say what "
            "is missing, and it is worked out at once."
        ),
    )


@page_for(Action.SEE_OFF_CENTRAL)
def property_water(request: SignedInRequest, ref: str) -> HttpResponse:
    """One property: its stations off central with their meters, and its months."""
    user = request.user
    rows = properties_for(user, Action.SEE_OFF_CENTRAL)
    place = find(rows.select_related("client"), ref=ref)
    sums = month_sums(place, most=MOST_MONTHS)
    if kind := wanted_file(request):
        return list_file(months_written(place, sums, heading=_("Water at %s") % place), kind=kind)
    lines = meters_of_property(place)
    figures = [(each.month, each.applied_gal, each.needed_gal) for each in sums]
    today = today_at(place)
    until, problem = chosen_day(request.GET.get("until", ""), today)
    sees_prices = may(user, Action.SEE_RATES, place)
    currency = currency_at(place, today)
    context: dict[str, object] = {
        "place": place,
        "currency": currency,
        "may_here": actions_on(user, place),
        "totals": totals(user, place, currency),
        "lines": lines,
        "months": sums[::-1],
        "figure": months_figure(figures, place),
        "chart_title": months_title(figures),
        "notes": note_sentences(
            notes_of(line.station_id for line in lines), sees_prices=sees_prices
        ),
        "sees_prices": sees_prices,
        "today": today,
        "until": until,
        "until_problem": problem,
    }
    if until is not None:
        stations = [line.station_id for line in lines][:MOST_AHEAD]
        context["ahead"] = if_it_stays(stations, until=until, today=today)
    return render(request, "reports/water/property.html", context)


@page_for(Action.SEE_OFF_CENTRAL)
def station_water(request: SignedInRequest, ref: str) -> HttpResponse:
    """One station: the meter of each spell, its months, and what they stand on."""
    user = request.user
    rows = stations_for(user, Action.SEE_OFF_CENTRAL)
    station = find(rows.select_related("controller__property__client"), ref=ref)
    place = station.controller.property
    ledger = ledger_rows(station)
    if kind := wanted_file(request):
        heading = _("Water of station %(station)s, %(place)s") % {
            "station": station,
            "place": place,
        }
        return list_file(months_written(place, ledger, heading=heading), kind=kind)
    today = today_at(place)
    until, problem = chosen_day(request.GET.get("until", ""), today)
    sees_prices = may(user, Action.SEE_RATES, place)
    spells = spells_of(station, today=today)
    figures = [
        (
            row.month,
            *((row.applied_gal, row.needed_gal) if row.excess_gal is not None else (None, None)),
        )
        for row in ledger
    ]
    context: dict[str, object] = {
        "station": station,
        "currency": currency_at(place, today),
        "place": place,
        "may_here": actions_on(user, place),
        "spells": spells,
        "is_off": bool(spells) and spells[0].spell.to_on is None,
        "months": ledger[::-1],
        "figure": months_figure(figures, place),
        "chart_title": months_title(figures),
        "notes": note_sentences(
            {note for row in ledger for note in row.notes.split(";")}, sees_prices=sees_prices
        ),
        "tables": tables_used(ledger, place),
        "outages": [
            (each, each.to_on - timedelta(days=1) if each.to_on else None)
            for each in outages_of(station)
        ],
        "stuck_open": stuck_open_with_water(station),
        "sees_prices": sees_prices,
        "today": today,
        "until": until,
        "until_problem": problem,
    }
    if until is not None and context["is_off"]:
        context["ahead"] = if_it_stays([station.pk], until=until, today=today)
    return render(request, "reports/water/station.html", context)
