"""Lists of the register: filter, sort, page."""

from collections.abc import Callable, Sequence
from typing import Any

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import QuerySet, Sum
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext as _

from sites.kernel.access import (
    SignedInRequest,
    actions_anywhere,
    may_add_properties,
    page_for,
    properties_for,
)
from sites.kernel.engines.roles import Action
from sites.kernel.forms.day import AskedDay, asked_day
from sites.kernel.paging import arrange, chips_of
from sites.kernel.tables import SheetTable, TickColumn
from sites.kernel.views.acted import acted_here, may_tick, ticking
from sites.kernel.views.many import ACTED, OF_LIST, ManyView
from sites.kernel.views.table_files import table_file, wanted_file
from sites.models import User
from sites.register.forms.lists import (
    ControllerFilter,
    ListFilter,
    PropertyFilter,
    StandingFilter,
    StationFilter,
    StopgapFilter,
)
from sites.register.queries.stations import (
    controllers_listed,
    first_day_of,
    latest_today,
    properties_listed,
    stations_listed,
    stopgaps_listed,
)
from sites.register.tables import ControllerTable, PropertyTable, StationTable, StopgapTable

# Columns are copied by each table that gets them.
WITH_TICKS: dict[str, Any] = {
    "extra_columns": [("tick", TickColumn())],
    "sequence": ("tick", "..."),
}


def wants_fragment(request: HttpRequest) -> bool:
    """Return whether htmx asks for a part of the page.

    After "back", when the browser has forgotten the page, htmx asks for the whole of it.
    """
    headers = request.headers
    return bool(headers.get("HX-Request")) and not headers.get("HX-History-Restore-Request")


def list_page(
    request: SignedInRequest,
    *,
    heading: str,
    rows: QuerySet[Any],
    filter_class: type[ListFilter],
    table_class: type[SheetTable],
    many: type[ManyView[Any]] | None = None,
    summed: Callable[[QuerySet[Any]], Sequence[str]] | None = None,
    none_yet: object = "",
    **context: Any,
) -> HttpResponse:
    """Answer with a filtered, sorted page of rows, as the fragment for htmx, or as a file.

    Args:
        many: what may be done to rows that are ticked; without it there are no ticks.
        summed: sums of all filtered rows in words, for above the table.
        none_yet: what is said where there is no row and nothing was filtered, in place of that
            nothing is registered.
    """
    if many is not None and "rows" in request.GET:  # those that were ticked
        rows = rows.filter(ref__in=request.GET["rows"].split())
    filtered = filter_class(request.GET, queryset=rows)
    is_ticked = many is not None and not wanted_file(request) and may_tick(many, request.user)
    table = table_class(filtered.qs, **(WITH_TICKS if is_ticked else {}))
    table.caption = heading
    ordered = arrange(request, table)
    # Who asked for a day that cannot be shown gets no file that is silently another day's.
    if (kind := wanted_file(request)) and not _is_refused(context):
        table.data.data = ordered
        return table_file(table, heading=heading, kind=kind)
    if summed is not None:
        context["sums"] = summed(filtered.qs)
    table.sums = _sums(filtered.qs, table.summed)
    is_fragment = wants_fragment(request)
    if not is_fragment:
        context["is_empty_register"] = not request.GET and not properties_for(request.user).exists()
    if many is not None and is_ticked:
        refs = [row.record.ref for row in table.paginated_rows]
        total = table.paginator.count
        context |= acted_here(request) | ticking(many, request.user, refs=refs, total=total)
    chips = chips_of(request, filtered.form, without=(table.prefixed_page_field, ACTED))
    context |= {"heading": heading, "filter": filtered, "table": table, "chips": chips}
    context["none_yet"] = none_yet
    response = render(request, "sites/_rows.html" if is_fragment else "sites/list.html", context)
    patch_vary_headers(response, ["HX-Request", "HX-History-Restore-Request"])
    return response


def _sums(rows: QuerySet[Any], columns: Sequence[str]) -> dict[str, str]:
    """Return the sum of each column over all rows, whichever page is shown."""
    if not columns:
        return {}
    found = rows.order_by().aggregate(**{f"all_{name}": Sum(name) for name in columns})
    return {name: intcomma(found[f"all_{name}"] or 0) for name in columns}


def _is_refused(context: dict[str, Any]) -> bool:
    asked: AskedDay | None = context.get("as_of")
    return asked is not None and bool(asked.problem)


@page_for(Action.SEE_REGISTER)
def properties(request: SignedInRequest) -> HttpResponse:
    """All properties in care."""
    return list_page(
        request,
        heading=_("Properties"),
        rows=properties_listed(request.user),
        filter_class=PropertyFilter,
        table_class=PropertyTable,
        add_url=_where_they_may_add(request.user),
        add_label=_("Add a property"),
    )


def _where_they_may_add(user: User) -> str:
    return reverse("sites:property_add") if may_add_properties(user) else ""


@page_for(Action.SEE_REGISTER)
def controllers(request: SignedInRequest) -> HttpResponse:
    """All controllers in care."""
    return list_page(
        request,
        heading=_("Controllers"),
        rows=controllers_listed(request.user),
        filter_class=ControllerFilter,
        table_class=ControllerTable,
    )


@page_for(Action.SEE_REGISTER)
def stations(request: SignedInRequest) -> HttpResponse:
    """All stations in care."""
    return list_page(
        request,
        heading=_("Stations"),
        rows=stations_listed(request.user),
        filter_class=StationFilter,
        table_class=StationTable,
        many=OF_LIST.get("sites:stations"),
    )


@page_for(Action.SEE_OFF_CENTRAL)
def stopgaps(request: SignedInRequest) -> HttpResponse:
    """All stopgaps, open and ended, or those that stood on a past day."""
    rows = stopgaps_listed(request.user)
    asked = asked_day(
        request.GET,
        today=lambda: latest_today(timezone.now()),
        first=lambda: first_day_of(rows),
    )
    if asked.day is None:
        heading, lead = _("Stopgaps"), ""
    else:
        rows, heading = rows.standing_on(asked.day), _("Stopgaps on %s") % asked.day.isoformat()
        lead = _("What stood on this day, by what is recorded now.")
    return list_page(
        request,
        heading=heading,
        rows=rows,
        filter_class=StandingFilter if asked.day else StopgapFilter,
        table_class=StopgapTable,
        # What stood on a past day is looked at; what stands now is acted on.
        many=None if asked.day else OF_LIST.get("sites:stopgaps"),
        as_of=asked,
        lead=lead,
        further=[(reverse("faults:homes"), _("What could come home without a dig"))]
        if Action.SEE_WORK in actions_anywhere(request.user)
        else (),
    )
