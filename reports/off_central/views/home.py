"""Off central: how many stations, why, since when, and whether it gets better."""

from collections.abc import Mapping
from datetime import date, datetime
from itertools import islice
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext as _

from reports.goals.services.standing import at_home, forecast_of
from reports.goals.services.words import trusted
from reports.off_central.charts import reasons_bar
from reports.off_central.forms import OffCentralFilter
from reports.off_central.queries import (
    by_reason,
    off_central_rows,
    oldest_off,
    worst_properties,
)
from reports.off_central.services.counted import Counted, counted_for, currencies_for
from reports.off_central.tables.today import OffCentralTable
from reports.off_central.views.off_many import OffMany
from reports.off_central.views.past import MOST_PROPERTIES, asked_of_all, home_on, trend_context
from sites.kernel.access import (
    SignedInRequest,
    actions_anywhere,
    is_client_only,
    page_for,
    stations_for,
)
from sites.kernel.engines.roles import Action
from sites.kernel.paging import arrange, chips_of, is_narrowed
from sites.kernel.tables import TickColumn
from sites.kernel.views.acted import acted_here, may_tick, ticking
from sites.kernel.views.many import ACTED
from sites.kernel.views.table_files import table_file, wanted_file
from sites.models import SpellPart, User, today_at
from sites.register.queries.stations import latest_today, link_not_known
from sites.register.views.lists import wants_fragment

FIRST_ROWS, FIRST_COLUMNS = 10, ("station", "name", "property", "reason", "days", "mover")
WITH_TICKS: dict[str, Any] = {
    "extra_columns": [("tick", TickColumn("station__ref"))],
    "sequence": ("tick", *OffCentralTable.Meta.sequence),
}


@page_for(Action.SEE_OFF_CENTRAL)
def home(request: SignedInRequest) -> HttpResponse:
    """The whole page, or only its table when htmx asks."""
    if is_client_only(request.user):
        return redirect("reports:mine")
    asked = asked_of_all(request)
    if asked.day is not None:
        return home_on(request, asked, asked.day)
    at, rows = timezone.now(), off_central_rows(request.user)
    if "rows" in request.GET:  # those that were ticked
        rows = rows.filter(station__ref__in=request.GET["rows"].split())
    filtered = OffCentralFilter(request.GET, queryset=rows)
    # A day that cannot be shown gets its reason, not the file of another day.
    kind = "" if asked.problem else wanted_file(request)
    sees_prices = Action.SEE_RATES in actions_anywhere(request.user)
    is_ticked = not kind and may_tick(OffMany, request.user)
    ticks = WITH_TICKS if is_ticked else {}
    priced = currencies_for(request.user) if sees_prices else {}
    table = OffCentralTable(
        filtered.qs,
        at=at,
        currencies=priced,
        is_file=bool(kind),
        sees_prices=sees_prices,
        **ticks,
    )
    every = counted_for(request.user)
    is_part = "rows" in request.GET or is_narrowed(filtered)
    known_count = None if is_part else every.off
    ordered = arrange(request, table, known_count=known_count)
    if kind:
        table.data.data = ordered
        return table_file(table, heading=_("Off central"), kind=kind)
    chips = chips_of(request, filtered.form, without=(table.prefixed_page_field, ACTED))
    context: dict[str, object] = {
        "filter": filtered,
        "table": table,
        "as_of": asked,
        "chips": chips,
    }
    if is_ticked:
        refs = [row.record.station.ref for row in table.paginated_rows]
        total = table.paginator.count
        context |= acted_here(request)
        context |= ticking(OffMany, request.user, refs=refs, total=total)
    is_fragment = wants_fragment(request)
    if not is_fragment:
        context |= _summary(request, at, every, priced) | _first(table)
    response = render(request, "sites/_rows.html" if is_fragment else "reports/home.html", context)
    patch_vary_headers(response, ["HX-Request", "HX-History-Restore-Request"])
    return response


def _summary(
    request: SignedInRequest, at: datetime, every: Counted, priced: Mapping[int, str]
) -> dict[str, object]:
    user = request.user
    groups, stations, off = every.groups, every.stations, every.off
    reasons = by_reason(user, groups)
    context: dict[str, object] = {"stations": stations, "off": off, "reasons": reasons}
    if not stations:
        return context | {"is_outside": stations_for(user).in_care().exists()}
    if not off:
        return context | {"not_known": link_not_known(user).count()}
    oldest, today = oldest_off(user), latest_today(at)
    return context | {
        "reasons_bar": reasons_bar(reasons),
        "movers": every.movers,
        "totals": every.totals(priced),
        "oldest": oldest,
        "oldest_days": _days_off(oldest, at) if oldest else 0,
        "properties": worst_properties(user, most=MOST_PROPERTIES, groups=groups),
        **_path(user, today, off, stations),
        **trend_context(request, today),
    }


def _path(user: User, today: date, off: int, stations: int) -> dict[str, object]:
    """What the kept forecast says, and whether the goal is on its path; for the office."""
    if Action.SEE_RATES not in actions_anywhere(user):
        return {}
    forecast = forecast_of(user)
    goal = at_home(user, forecast, off=off, stations=stations, today=today)
    # A goal without a path for want of a good forecast says so already.
    is_said = goal is not None and goal.better is not None and goal.goal.by_on > today
    return {
        "ahead": trusted(forecast) if forecast and not is_said else "",
        "goal": goal,
        "goal_path": goal.path(today) if goal else "",
        "shows_path": True,
    }


def _first(table: OffCentralTable) -> dict[str, object]:
    """The first rows of the list beside the picture, in few columns."""
    rows = list(islice(table.paginated_rows, FIRST_ROWS))
    return {
        "first_heads": [table.columns[name].header for name in FIRST_COLUMNS],
        "first_rows": [[row.get_cell(name) for name in FIRST_COLUMNS] for row in rows],
    }


def _days_off(part: SpellPart, at: datetime) -> int:
    today = today_at(part.station.controller.property, at)
    return max(0, (today - part.spell.from_on).days)
