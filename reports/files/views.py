"""The register as a file, and the summaries of the first page as lists."""

from collections.abc import Callable
from datetime import date
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.load.services.export.register import fits_a_workbook, register_lists, register_zip
from reports.off_central.queries import by_reason, month_ends, off_groups, trend, worst_properties
from reports.off_central.views.past import MONTHS, asked_of_all
from sites.cells.services.writing import Written
from sites.export.services.sheets import Wanted
from sites.kernel.access import SignedInRequest, asks_again, find, page_for, properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.table_files import attached, list_file, wanted_file, workbook_file
from sites.models import User
from sites.register.queries.stations import latest_today

ALL_PROPERTIES = 100_000


@asks_again
@page_for(Action.EXPORT)
def export(request: SignedInRequest) -> HttpResponse:
    """Say what an export holds, and what not, and offer it."""
    wanted = Wanted(request.user)
    places = properties_for(request.user, Action.EXPORT).in_care().order_by("code", "pk")
    context = {
        "places": places.only("ref", "code"),
        "sees_contacts": wanted.may_anywhere(Action.SEE_CONTACTS),
        "sees_rates": wanted.may_anywhere(Action.SEE_RATES),
        "fits_a_workbook": fits_a_workbook(wanted),
    }
    return render(request, "reports/export.html", context)


@asks_again
@page_for(Action.EXPORT)
def export_register(request: SignedInRequest) -> HttpResponse:
    """The register of all properties that the user may see, or of one."""
    wanted = Wanted(request.user)
    if ref := request.GET.get("property", ""):
        place = find(properties_for(request.user, Action.EXPORT).in_care(), ref=ref)
        wanted = Wanted(request.user, place.code)
    today = timezone.localdate()
    name = f"register-{today.isoformat()}"
    if request.GET.get("as") != "xlsx":
        return attached(register_zip(wanted, on=today), f"{name}.zip", "application/zip")
    if not fits_a_workbook(wanted):
        messages.error(request, _("This is too much for one workbook. Take the packed folder."))
        return redirect("reports:export")
    return workbook_file(register_lists(wanted), f"{name}.xlsx")


@page_for(Action.SEE_OFF_CENTRAL)
def export_summary(request: SignedInRequest) -> HttpResponse:
    """One of the small tables of the first page."""
    asked = asked_of_all(request)
    if asked.problem:
        return redirect(reverse("reports:home") + "?" + urlencode({"day": asked.typed}))
    table = SUMMARIES.get(request.GET.get("table", ""), by_reasons)
    kind = wanted_file(request)
    written = table(request.user, asked.day)
    return list_file(written, kind=kind) if kind else redirect("reports:home")


def _on(heading: str, day: date | None) -> str:
    return heading if day is None else f"{heading}, {day.isoformat()}"


def by_reasons(user: User, day: date | None) -> Written:
    """Return why stations are off, with how many and since when."""
    lines = by_reason(user, off_groups(user, day))
    return Written(
        _on(_("Off central by reason"), day),
        [_("Reason"), _("Stations"), _("Longest since")],
        lambda: [[line.reason, line.count, line.oldest] for line in lines],
    )


def by_properties(user: User, day: date | None) -> Written:
    """Return where stations are off: all properties that have any, not only the worst."""
    lines = worst_properties(
        user, most=ALL_PROPERTIES, groups=off_groups(user, day), is_past=day is not None
    )
    if day is not None:
        return Written(
            _on(_("Off central by property"), day),
            [_("Property"), _("Off central"), _("Longest since")],
            lambda: [[line.code, line.count, line.oldest] for line in lines],
        )
    return Written(
        _("Off central by property"),
        [_("Property"), _("Off central"), _("Stations"), _("Longest since")],
        lambda: [[line.code, line.count, line.stations, line.oldest] for line in lines],
    )


def by_months(user: User, day: date | None) -> Written:
    """Return how many stations were off at the end of each month, by reason."""
    today = day or latest_today(timezone.now())
    series = trend(user, today=today, months=MONTHS)
    months = month_ends(today, MONTHS)
    return Written(
        _on(_("Off central by month"), day),
        [_("Month"), *series, _("All")],
        lambda: [
            [f"{month:%Y-%m}", *counts, sum(counts)]
            for month, *counts in zip(months, *series.values(), strict=True)
        ],
    )


SUMMARIES: dict[str, Callable[[User, date | None], Written]] = {
    "reasons": by_reasons,
    "properties": by_properties,
    "months": by_months,
}
