"""Reports as issued: the list, one of them, its files; and the rules of series."""

from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext_lazy as _

from faults.access import handlers_on_any
from reports.issued.engines.periods import period_before
from reports.issued.forms import SeriesForm
from reports.issued.queries import (
    change_of,
    compared_at,
    drafts_for,
    reports_for,
    series_for,
    with_seen,
)
from reports.issued.services.checking import checked_now
from reports.issued.services.files import PDF, XLSX, is_whole
from reports.issued.services.issuing import note_seen
from reports.issued.services.series import end_series, set_up_series
from reports.issued.views.asking import looks_of, offered
from reports.issued.views.sending import file_response
from reports.models import Report, ReportSeries
from sites.documents.engines.document import from_json
from sites.kernel.access import SignedInRequest, actions_anywhere, find, page_for, properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_help import Crumbs
from sites.kernel.views.verb_views import VerbView
from sites.models import Property
from sites.register.views.lists import wants_fragment

MOST_LISTED = 200
MOST_HERE = 8


@page_for(Action.SEE_REPORTS)
def reports(request: SignedInRequest) -> HttpResponse:
    """All issued reports that the user sees; a few of one property where a page asks for them."""
    rows = with_seen(reports_for(request.user), request.user)
    place = None
    if ref := request.GET.get("place", ""):
        place = find(properties_for(request.user, Action.SEE_REPORTS), ref=ref)
        rows = rows.filter(property=place)
    is_fragment = wants_fragment(request)
    actions = actions_anywhere(request.user)
    context: dict[str, Any] = {
        "reports": list(rows[: MOST_HERE if is_fragment else MOST_LISTED]),
        "place": place,
        "may_issue": Action.ISSUE_REPORTS in actions,
        "is_here": is_fragment,
    }
    if context["may_issue"] and not is_fragment:
        drafts, series = drafts_for(request.user), series_for(request.user)
        if place is not None:
            drafts, series = drafts.filter(property=place), series.filter(property=place)
        context |= {"drafts": drafts[:MOST_LISTED], "series": series[:MOST_LISTED]}
    page = "reports/issued/_list.html" if is_fragment else "reports/issued/reports.html"
    response = render(request, page, context)
    patch_vary_headers(response, ["HX-Request", "HX-History-Restore-Request"])
    return response


@page_for(Action.SEE_REPORTS)
def issued(request: SignedInRequest, ref: str) -> HttpResponse:
    """One report as issued, with what was corrected since."""
    one: Report = find(reports_for(request.user).defer(None), ref=ref)
    note_seen(report=one, by=request.user, at=timezone.now())
    checked_now(one)
    is_ours = Action.ISSUE_REPORTS in actions_anywhere(request.user)
    versions = reports_for(request.user).filter(number=one.number).exclude(pk=one.pk)
    context: dict[str, Any] = {
        "report": one,
        "document": from_json(one.document),
        "files": one.files.filter(name__in=[PDF, XLSX]).defer("content").order_by("name"),
        "change": change_of(one),
        "compared_at": compared_at(one),
        "versions": versions.order_by("version", "pk"),
        "photos_at": ("reports:issued_photo", (one.ref,)),
        "may_issue": is_ours,
    }
    if is_ours:
        context["seen"] = one.seen.select_related("user").order_by("first_at", "pk")[:50]
    return render(request, "reports/issued/issued.html", context)


@page_for(Action.SEE_REPORTS)
def issued_file(request: SignedInRequest, ref: str, kind: str) -> HttpResponse:
    """The PDF or the workbook as it was issued, byte for byte."""
    return _file(request, ref, {"pdf": PDF, "xlsx": XLSX}.get(kind, ""))


@page_for(Action.SEE_REPORTS)
def issued_photo(request: SignedInRequest, ref: str, picture: str) -> HttpResponse:
    """A photo as it was issued."""
    return _file(request, ref, f"{picture}.jpg")


def _file(request: SignedInRequest, ref: str, name: str) -> HttpResponse:
    report = find(reports_for(request.user), ref=ref)
    file = report.files.filter(name=name).first()
    if file is None:
        raise Http404
    if not is_whole(file):
        # Nobody is given under its number what was not issued.
        return HttpResponse(_("This file is damaged: restore it from a backup."), status=500)
    note_seen(report=report, by=request.user, at=timezone.now())
    named = (
        name if name.endswith(".jpg") else f"{str(report).replace('/', '-')}.{name.split('.')[1]}"
    )
    return file_response(bytes(file.content), named)


class SeriesAdd(VerbView[None]):
    """Set up a series of reports."""

    verb = set_up_series
    takes = "nothing"
    form_class = SeriesForm
    heading, button = _("Set up a series of reports"), _("Set it up")
    lead = _("After each month or quarter a report is put together and laid on a desk.")
    done = _("Set up. The first one lies on the desk once its period is over.")

    def find(self) -> None:
        """Begin with nothing."""

    def get_form_kwargs(self) -> dict[str, Any]:
        here = offered(self.user)
        start, _end = period_before(timezone.localdate(), "monthly")
        place = next((each for each in here["places"] if each.ref == self._place), None)
        return {
            **here,
            "people": list(
                handlers_on_any(here["places"]).order_by("first_name", "username", "pk")
            ),
            "initial": {
                "place": self._place,
                "next_from_on": start,
                "desk": str(self.user.pk),
                **looks_of(place, self.user),
            },
        }

    @property
    def _place(self) -> str:
        return self.request.GET.get("place", "")

    def get_crumbs(self) -> Crumbs:
        return [(reverse("reports:reports"), _("Reports"))]

    def get_back(self) -> str:
        return reverse("reports:reports")


class SeriesEnd(VerbView[ReportSeries]):
    """End a series of reports."""

    verb = end_series
    takes = "series"
    heading, button = _("End the series: %s"), _("End it")
    lead = _("Nothing more is made by it. Drafts and issued reports stay.")
    done = _("Ended.")

    def find(self) -> ReportSeries:
        """Return the series, where the user may change it."""
        return find(series_for(self.user), ref=self.kwargs["ref"])

    def get_place(self) -> Property | None:
        return self.row.property

    def get_crumbs(self) -> Crumbs:
        return [(reverse("reports:reports"), _("Reports"))]

    def get_back(self) -> str:
        return reverse("reports:reports")
