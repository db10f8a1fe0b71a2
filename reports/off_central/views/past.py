"""A past day: what was off central control, why, since when, and its water until then."""

from datetime import date

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext as _

from faults.prices.services.holding import currency_at
from reports.off_central.charts import month_end, reasons_bar, trend_figure, trend_title
from reports.off_central.forms import OffCentralOnFilter
from reports.off_central.queries import (
    OffGroup,
    by_reason,
    month_ends,
    off_central_rows_on,
    off_groups,
    trend,
    worst_properties,
)
from reports.off_central.services.counted import currencies_for
from reports.off_central.services.past import RowsOnDay, Summed, put_water_on, summed
from reports.off_central.tables.past import OffCentralOnTable
from sites.kernel.access import SignedInRequest, actions_anywhere, may
from sites.kernel.engines.roles import Action
from sites.kernel.forms.day import AskedDay, asked_day
from sites.kernel.paging import arrange
from sites.kernel.views.table_files import table_file, wanted_file
from sites.models import Property, today_at
from sites.register.queries.stations import TO_PROPERTY, first_day_off, latest_today
from sites.register.views.lists import wants_fragment

MONTHS = 24
MOST_PROPERTIES = 12
MOST_OFF_SHOWN = 50


def asked_of_all(request: SignedInRequest) -> AskedDay:
    """Return the day that is asked of all properties: past means past at each of them."""
    return asked_day(
        request.GET,
        today=lambda: latest_today(timezone.now()),
        first=lambda: first_day_off(request.user),
    )


def asked_of(request: SignedInRequest, place: Property) -> AskedDay:
    """Return the day that is asked of one property, whose own today it goes by."""
    return asked_day(
        request.GET,
        today=lambda: today_at(place),
        first=lambda: _first_record(request, place),
    )


def _first_record(request: SignedInRequest, place: Property) -> date | None:
    """Return since when faults here were written down, or the first day off where it is earlier."""
    known = [place.records_since, first_day_off(request.user, place)]
    return min((day for day in known if day is not None), default=None)


def home_on(request: SignedInRequest, asked: AskedDay, day: date) -> HttpResponse:
    """The first page of a past day, its table when htmx asks, or a file."""
    user = request.user
    filtered = OffCentralOnFilter(request.GET, queryset=off_central_rows_on(user, day))
    kind = wanted_file(request)
    sees_prices = Action.SEE_RATES in actions_anywhere(user)
    priced = currencies_for(user) if sees_prices else {}
    table = OffCentralOnTable(
        filtered.qs,
        day=day,
        currencies=priced,
        is_file=bool(kind),
        sees_prices=sees_prices,
    )
    rows = arrange(request, table)
    heading = _("Off central on %s") % day.isoformat()
    if kind:
        table.data.data = RowsOnDay(priced, rows, day)
        return table_file(table, heading=heading, kind=kind)
    context: dict[str, object] = {"filter": filtered, "table": table, "as_of": asked}
    is_fragment, shown = wants_fragment(request), [row.record for row in table.paginated_rows]
    if is_fragment:
        put_water_on(priced, shown, day)
    else:
        every = summed(priced, off_central_rows_on(user, day), day)
        every.put_on(priced, shown, day)
        context |= {"heading": heading} | _summary(request, every, day)
    name = "sites/_rows.html" if is_fragment else "reports/home_on.html"
    response = render(request, name, context)
    patch_vary_headers(response, ["HX-Request", "HX-History-Restore-Request"])
    return response


def _summary(request: SignedInRequest, every: Summed, day: date) -> dict[str, object]:
    user, oldest = request.user, every.oldest
    if oldest is None:
        return {"off": 0}
    groups = off_groups(user, day)
    reasons = by_reason(user, groups)
    off = sum(line.count for line in reasons)
    return {
        "off": off,
        "reasons": reasons,
        "reasons_bar": reasons_bar(reasons),
        "totals": every.totals,
        "oldest": oldest,
        "oldest_days": (day - oldest.spell.from_on).days,
        "properties": worst_properties(user, most=MOST_PROPERTIES, groups=groups, is_past=True),
        **trend_context(request, day),
    }


def trend_context(request: SignedInRequest, last: date) -> dict[str, object]:
    """Return the 24 months up to a day: chart, title, and the numbers behind it."""
    series = trend(request.user, today=last, months=MONTHS)
    columns = month_ends(last, MONTHS)
    counts = [sum(values[i] for values in series.values()) for i in range(MONTHS)]
    return {
        "trend_title": trend_title(counts),
        "trend": trend_figure(columns, series),
        "trend_reasons": list(series),
        "trend_rows": [
            (month_end(column, last), [values[i] for values in series.values()], counts[i])
            for i, column in reversed(list(enumerate(columns)))
        ],
    }


def property_on(
    request: SignedInRequest, place: Property, asked: AskedDay, day: date
) -> HttpResponse:
    """One property on a past day, or its list as a file."""
    user = request.user
    rows = off_central_rows_on(user, day).filter(**{TO_PROPERTY: place})
    rows = rows.order_by("spell__from_on", "pk")
    kind = wanted_file(request)
    shown = [] if kind else list(rows[:MOST_OFF_SHOWN])
    sees_prices = may(user, Action.SEE_RATES, place)
    priced = {place.pk: currency_at(place, today_at(place))} if sees_prices else {}
    table = OffCentralOnTable(
        shown,
        day=day,
        currencies=priced,
        is_file=bool(kind),
        orderable=False,
        exclude=("property",),
        sees_prices=sees_prices,
    )
    if kind:
        table.data.data = RowsOnDay(priced, rows, day)
        heading = _("%(place)s: off central on %(day)s") % {"place": place, "day": day}
        return table_file(table, heading=heading, kind=kind)
    every = summed(priced, rows, day)
    every.put_on(priced, shown, day)
    context = _of_property(request, off_groups(user, day, place))
    context |= {"place": place, "table": table, "as_of": asked, "totals": every.totals}
    return render(request, "reports/property_on.html", context)


def _of_property(request: SignedInRequest, groups: list[OffGroup]) -> dict[str, object]:
    reasons = by_reason(request.user, groups)
    return {
        "off": sum(line.count for line in reasons),
        "reasons": reasons,
        "most_off_shown": MOST_OFF_SHOWN,
    }
