"""Ask for a report, see how far it is, look at the draft, issue it or throw it away."""

from typing import Any

from django.db.models import Model
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_POST

from faults.access import faults_for, runs_for
from faults.models import Fault, Round
from reports.issued.forms import AskForm, AskOfFaultForm, AskOfRoundForm
from reports.issued.queries import (
    clients_to_report,
    drafts_for,
    newest_turn,
    reports_for,
    rounds_to_report,
    sees_all,
    whose_round,
)
from reports.issued.services.drafting import (
    WRITE,
    UnableToWriteReport,
    first_period,
    refuse_another_thing,
    refuse_wrong_period,
    start_writing,
    throw_away,
)
from reports.issued.services.files import draft_pdf, draft_workbook
from reports.issued.services.issuing import ISSUE, start_issuing
from reports.issued.views.sending import file_response
from reports.models import Audience, Draft, Report, ReportKind
from sites.documents.engines.document import from_json
from sites.kernel.access import SignedInRequest, find, page_for, properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_views import VerbView
from sites.models import Property, Run, RunState, Units, User, today_at
from sites.runs.services import cancel_run, goes_on
from sites.runs.views import progress_page, progress_part


@page_for(Action.ISSUE_REPORTS)
def ask(request: SignedInRequest) -> HttpResponse:
    """Ask for a report over a period; it is put together in the background."""
    again = _again(request)
    form = AskForm(
        request.POST if request.method == "POST" else None,
        initial=_first_values(request, again),
        **offered(request.user),
    )
    return _asked(request, form, again)


def offered(user: User) -> dict[str, Any]:
    """Return the properties and clients that a user may report on."""
    places = properties_for(user, Action.ISSUE_REPORTS).in_care().select_related("client")
    return {
        "places": list(places.order_by("name", "code", "pk")),
        "clients": clients_to_report(user),
        "may_report_all": sees_all(user),
    }


def _again(request: SignedInRequest) -> Report | None:
    """Return the report beside which a new version is to stand."""
    ref = request.GET.get("again", "")
    return find(reports_for(request.user), ref=ref) if ref else None


def _first_values(request: SignedInRequest, again: Report | None) -> dict[str, Any]:
    """What stands in the form: of an earlier version, or the last month of a property."""
    if again is not None:
        names = ("kind", "language", "units", "paper", "audience", "shows_prices")
        found = {name: getattr(again, name) for name in (*names, "from_on", "until_on")}
        place = again.property and again.property.ref
        return {**found, "place": place, "client": again.client_id and str(again.client_id)}
    rows = properties_for(request.user, Action.ISSUE_REPORTS)
    ref = request.GET.get("place", "")
    place = rows.filter(ref=ref).first() if ref else None
    kind = ReportKind.PROPERTY.value
    today = today_at(place) if place is not None else timezone.localdate()
    start, end = first_period(kind, today)
    return {
        "kind": kind,
        "place": ref,
        "from_on": start,
        "until_on": end,
        **looks_of(place, request.user),
    }


def looks_of(place: Property | None, user: User) -> dict[str, Any]:
    """Return language, units and paper that go with a property."""
    units = place.units if place is not None else Units.US.value
    return {
        "audience": Audience.CLIENT.value,
        "language": user.language,
        "units": units,
        "paper": "a4" if units == Units.METRIC else "letter",
    }


@page_for(Action.ISSUE_REPORTS)
def ask_of_fault(request: SignedInRequest, ref: str) -> HttpResponse:
    """Ask for the proof of the work on a fault, or for evidence of damage."""
    rows = faults_for(request.user, Action.ISSUE_REPORTS).select_related("property")
    fault: Fault = find(rows, ref=ref)
    again = _again(request)
    if again is not None and again.fault_id != fault.pk:
        raise Http404
    first = {"kind": request.GET.get("kind", ""), **looks_of(fault.property, request.user)}
    form = AskOfFaultForm(
        request.POST if request.method == "POST" else None,
        fault=fault,
        until=today_at(fault.property),
        initial=_first_values(request, again) if again else first,
    )
    return _asked(request, form, again, fault=fault)


@page_for(Action.ISSUE_REPORTS)
def ask_of_round(request: SignedInRequest, ref: str) -> HttpResponse:
    """Ask for what was done on a round, at properties on which the user may report."""
    the_round: Round = find(rounds_to_report(request.user), ref=ref)
    again = _again(request)
    if again is not None and again.round_id != the_round.pk:
        raise Http404
    offers = whose_round(request.user, the_round)
    form = AskOfRoundForm(
        request.POST if request.method == "POST" else None,
        the_round=the_round,
        **offers,
        initial=_first_of_round(request, the_round, offers, again),
    )
    return _asked(request, form, again, the_round=the_round)


def _first_of_round(
    request: SignedInRequest, the_round: Round, offers: dict[str, Any], again: Report | None
) -> dict[str, Any]:
    """The newest turn until today, of the only client; else of the first property."""
    if again is not None:
        whose = again.property and again.property.ref
        whose = whose or (f"client-{again.client_id}" if again.client_id else "all")
        return {**_first_values(request, again), "whose": whose}
    place: Property = offers["places"][0]
    today = today_at(place)
    whose = f"client-{offers['clients'][0].pk}" if len(offers["clients"]) == 1 else place.ref
    begins = newest_turn(the_round, today) or the_round.starts_on
    days = {"from_on": min(begins, today), "until_on": today}
    return {"whose": whose, **days, **looks_of(place, request.user)}


def _asked(
    request: SignedInRequest,
    form: AskForm | AskOfFaultForm | AskOfRoundForm,
    again: Report | None,
    fault: Fault | None = None,
    the_round: Round | None = None,
) -> HttpResponse:
    at = timezone.now()
    if form.is_bound and form.is_valid():
        asked = form.asked()
        try:
            refuse_wrong_period(asked, at)
            refuse_another_thing(asked, again)
        except UnableToWriteReport as no:
            form.add_error(no.field, str(no))
        else:
            run = start_writing(asked=asked, by=request.user, at=at, again_of=again)
            return redirect("reports:report_run", run.ref)
    context = {"form": form, "again": again, "fault": fault, "round": the_round}
    status = 422 if form.errors else 200
    return render(request, "reports/issued/ask.html", context, status=status)


def _run(request: SignedInRequest, ref: str) -> Run:
    mine = runs_for(request.user, WRITE) | runs_for(request.user, ISSUE)
    return find(mine, ref=ref)


@page_for(Action.ISSUE_REPORTS)
def run(request: SignedInRequest, ref: str) -> HttpResponse:
    """How far it is; at the end the draft, or the issued report."""
    one = _run(request, ref)
    if goes_on(one):
        return progress_page(request, one, "reports/issued/progress.html")
    if one.state != RunState.DONE:
        return render(request, "reports/issued/failed.html", {"run": one})
    if one.service == WRITE:
        return redirect("reports:report_draft", one.result["draft"])
    return redirect("reports:issued", one.result["report"])


@page_for(Action.ISSUE_REPORTS)
def progress(request: SignedInRequest, ref: str) -> HttpResponse:
    """The progress fragment, polled every second; at the end the whole page is loaded again."""
    return progress_part(request, _run(request, ref), "reports/issued/_progress.html")


@page_for(Action.ISSUE_REPORTS)
@require_POST
def stop(request: SignedInRequest, ref: str) -> HttpResponse:
    """Stop it; nothing was issued."""
    cancel_run(run=_run(request, ref), at=timezone.now())
    return redirect("reports:report_run", ref)


@page_for(Action.ISSUE_REPORTS)
def draft(request: SignedInRequest, ref: str) -> HttpResponse:
    """A draft as it would be issued."""
    one = find(drafts_for(request.user), ref=ref)
    context = {
        "draft": one,
        "document": from_json(one.document),
        "photos_at": ("faults:fault_photo", ()),
    }
    return render(request, "reports/issued/draft.html", context)


@page_for(Action.ISSUE_REPORTS)
def draft_file(request: SignedInRequest, ref: str, kind: str) -> HttpResponse:
    """A draft as PDF or workbook; each page says that it is one."""
    one = find(drafts_for(request.user), ref=ref)
    made = {"pdf": draft_pdf, "xlsx": draft_workbook}.get(kind)
    if made is None:
        raise Http404
    with translation.override(one.language):
        return file_response(made(one), f"draft.{kind}")


@page_for(Action.ISSUE_REPORTS)
@require_POST
def issue(request: SignedInRequest, ref: str) -> HttpResponse:
    """Issue a draft in the background."""
    one = find(drafts_for(request.user), ref=ref)
    run = start_issuing(draft=one, by=request.user, at=timezone.now())
    return redirect("reports:report_run", run.ref)


class DraftThrowAway(VerbView[Draft]):
    """Throw a draft away."""

    verb = throw_away
    takes = "draft"
    heading, button = _("Throw the draft away: %s"), _("Throw it away")
    lead = _("Nobody was given it. It can be put together again.")
    done = _("Thrown away.")

    def find(self) -> Draft:
        """Return the draft, where the user may issue it."""
        return find(drafts_for(self.user), ref=self.kwargs["ref"])

    def get_watched(self) -> list[Model]:
        """Watch nothing: a draft is never changed."""
        return []

    def get_place(self) -> Property | None:
        return self.row.property

    def get_back(self) -> str:
        return reverse("reports:reports")
