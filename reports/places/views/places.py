"""A property and a station, with all that is known of them."""

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone

from faults.due.services.lines import due_lines_here
from faults.prices.services.holding import currency_at
from faults.promises.services.standing import promises_of_station
from faults.waits.queries.waits import stations_with_waits, wait_of
from faults.waits.views.next_moves import moving_on
from faults.work.queries.jobs import open_jobs_of_property
from reports.goals.services.standing import here
from reports.off_central.queries import faults_of, off_central_rows, open_faults, stopgaps_of
from reports.off_central.tables.today import OffCentralTable
from reports.off_central.views.past import MOST_OFF_SHOWN, asked_of, property_on
from reports.places.services.readings import readings_of
from reports.places.services.strips import strip_of
from sites.kernel.access import (
    SignedInRequest,
    actions_on,
    find,
    may,
    page_for,
    properties_for,
    stations_for,
)
from sites.kernel.engines.roles import Action
from sites.kernel.services.history import history_of
from sites.models import Central, Property, today_at
from sites.register.queries.stations import (
    control_of,
    count_by_reason,
    off_central_now,
    spares_by_controller,
    stations_of,
)
from sites.stopgaps.engines.spells import Interval, days_in, watering_days_in
from sites.templatetags.register import state_word

STATES = ("linked", "off", "temporary", "not known", "outside")
CONTROLLERS_A_PAGE = 12
MOST_FAULT_ROWS = 30


@page_for(Action.SEE_REGISTER)
def property_page(request: SignedInRequest, ref: str) -> HttpResponse:
    """One property: its grid, what is off, open faults, contacts, history."""
    user = request.user
    place = find(properties_for(user).select_related("client"), ref=ref)
    asked = asked_of(request, place)
    if asked.day is not None:
        return property_on(request, place, asked, asked.day)
    off = off_central_rows(user).filter(station__controller__property=place)
    table = OffCentralTable(
        off.order_by("spell__from_on", "pk")[:MOST_OFF_SHOWN],
        at=timezone.now(),
        currencies={place.pk: currency_at(place, today_at(place))},
        orderable=False,
        exclude=("property",),
        sees_work=may(user, Action.SEE_WORK, place),
        sees_prices=may(user, Action.SEE_RATES, place),
    )
    reasons = count_by_reason(off_central_now(user).filter(station__controller__property=place))
    context: dict[str, object] = {
        "place": place,
        "as_of": asked,
        "table": table,
        "reasons": reasons,
        "off": sum(reasons.values()),
        "most_off_shown": MOST_OFF_SHOWN,
        "fault_rows": open_faults(user, place)[:MOST_FAULT_ROWS],
        "legend": [(state, state_word(state)) for state in STATES],
        "may_here": actions_on(user, place),
        **_grid(place, request.GET.get("controllers", "1")),
        **_totals(place),
    }
    if may(user, Action.SEE_WORK, place):
        context["open_jobs"] = open_jobs_of_property(user, place)
        context["due_here"] = due_lines_here(user, place, today=today_at(place))
    if may(user, Action.SEE_CONTACTS, place):
        context["contacts"] = list(
            place.contacts.filter(ended_on__isnull=True).order_by("name", "pk")
        )
    if may(user, Action.SEE_RATES, place):
        goal = here(user, place)
        context["goal"] = goal
        context["goal_path"] = goal.path(today_at(place)) if goal else ""
        context["tariff"] = place.tariffs.open().order_by("pk").first()
    if may(user, Action.SEE_HISTORY, place):
        context["history"] = history_of(place)
    return render(request, "reports/property.html", context)


def _grid(place: Property, page: str) -> dict[str, object]:
    controllers = Paginator(
        place.controllers.in_care().order_by("name", "pk"), CONTROLLERS_A_PAGE
    ).get_page(page)
    shown = list(controllers)
    by_controller = control_of(shown)
    return {
        "controllers": controllers,
        "grid": [(controller, by_controller[controller.pk]) for controller in shown],
    }


def _totals(place: Property) -> dict[str, object]:
    stations = stations_of(place)
    return {
        "station_total": stations.exclude(controller__central=Central.NOT_MEANT).count(),
        "outside_total": stations.filter(controller__central=Central.NOT_MEANT).count(),
        "spares": spares_by_controller(place),
        "legs_total": place.legs.in_ground().count(),
    }


@page_for(Action.SEE_REGISTER)
def station_page(request: SignedInRequest, ref: str) -> HttpResponse:
    """One station: how it is controlled now, its strip, spells, stopgaps, faults, readings."""
    user = request.user
    station = find(
        stations_with_waits(stations_for(user)).select_related(
            "controller__property__client", "valve_point", "depends_on__controller"
        ),
        ref=ref,
    )
    place = station.controller.property
    today = today_at(place)
    control = (
        next(
            control
            for control in control_of([station.controller])[station.controller_id]
            if control.station.pk == station.pk
        )
        if station.retired_on is None
        else None
    )
    spells = [
        {
            "spell": spell,
            "parts": list(spell.parts.all()),
            "days": days_in(Interval(spell.from_on, spell.to_on), until=today),
            "watering_days": watering_days_in(
                Interval(spell.from_on, spell.to_on), until=today, season=place.season
            ),
        }
        for spell in station.spells.select_related("meter")
        .prefetch_related("parts")
        .order_by("-from_on", "-pk")[:20]
    ]
    context: dict[str, object] = {
        "station": station,
        "place": place,
        "control": control,
        "may_here": actions_on(user, place),
        "facts": station.facts.open().order_by("pk").first(),
        "schedule": station.schedules.on(today).order_by("-from_on", "-pk").first(),
        "spells": spells,
        "stopgaps": stopgaps_of(station),
        "faults": faults_of(user, station),
        "promised": promises_of_station(user, station),
        "wait": wait_of(station),
        **readings_of(station, today=today),
        **strip_of(user, station),
    }
    if context["wait"] is not None:
        context |= moving_on(user, station, here=request.path)
    if may(user, Action.SEE_HISTORY, place):
        context["history"] = history_of(station)
    return render(request, "reports/station.html", context)
