"""Pages of what to bring back first: what is asked, how far it is, the set, sent to the tray."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from faults.access import runs_for
from faults.prices.queries import currencies_used
from reports.returning.charts import curve_figure
from reports.returning.forms import AskForm
from reports.returning.services.choosing import RETURN_FIRST, start_choosing
from reports.returning.services.sending import Sent, send_to_tray, take_back
from reports.returning.services.shown import Shown, shown
from sites.kernel.access import SignedInRequest, actions_anywhere, find, page_for, properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.table_files import list_file, wanted_file
from sites.models import Run, RunState
from sites.runs.services import cancel_run, goes_on
from sites.runs.views import progress_page, progress_part

# What is kept from one question to the next, so that the company sets it once.
KEPT = ("hours", "people", "budget", "promise_worth", "month_worth", "currency")


@page_for(Action.SEE_RATES)
def ask(request: SignedInRequest) -> HttpResponse:
    """Ask with how many hours, then choose in the background; the last answer is a click away."""
    last = runs_for(request.user, RETURN_FIRST).filter(state=RunState.DONE).order_by("-pk").first()
    form = _form(request, last)
    if form.is_bound and form.is_valid():
        run = start_choosing(asked=form.asked(), by=request.user, at=timezone.now())
        return redirect("reports:return_found", run.ref)
    status = 422 if form.errors else 200
    context = {"form": form, "last": last}
    return render(request, "reports/returning/ask.html", context, status=status)


def _form(request: SignedInRequest, last: Run | None) -> AskForm:
    places = list(properties_for(request.user, Action.SEE_RATES).order_by("name", "pk"))
    kept = last.arguments["asked"] if last is not None else {}
    return AskForm(
        request.POST if request.method == "POST" else None,
        places=places,
        currencies=currencies_used(),
        today=timezone.localdate(),
        last={name: kept[name] for name in KEPT if kept.get(name) is not None},
    )


@page_for(Action.SEE_RATES)
def found(request: SignedInRequest, ref: str) -> HttpResponse:
    """Where one question stands: under way, without answer, or the set."""
    run = _run(request, ref)
    if goes_on(run):
        return progress_page(request, run, "reports/returning/progress.html")
    if run.state != RunState.DONE:
        return render(request, "reports/returning/failed.html", {"run": run})
    answer = shown(run)
    if kind := wanted_file(request):
        return list_file(answer.as_written(), kind=kind)
    return render(request, "reports/returning/found.html", _context(request, answer))


def _context(request: SignedInRequest, answer: Shown) -> dict[str, Any]:
    unit = _("gallons") if answer.asked.in_water else answer.unit
    curve = answer.result["curve"]
    actions = actions_anywhere(request.user)
    return {
        "run": answer.run,
        "answer": answer,
        "result": answer.result,
        "figure": curve_figure(curve, hours=answer.asked.hours, unit=unit),
        "curve": curve,
        "unit": unit,
        "may_send": Action.PLAN_JOBS in actions,
        "may_export": Action.EXPORT in actions,
        "sendable": any(row.takes_crew for row in answer.inside),
    }


@page_for(Action.SEE_RATES)
def progress(request: SignedInRequest, ref: str) -> HttpResponse:
    """The progress fragment, polled every second; at the end the whole page is reloaded."""
    return progress_part(request, _run(request, ref), "reports/returning/_progress.html")


@page_for(Action.SEE_RATES)
@require_POST
def stop(request: SignedInRequest, ref: str) -> HttpResponse:
    """Stop choosing; nothing was changed by it."""
    cancel_run(run=_run(request, ref), at=timezone.now())
    return redirect("reports:return_found", ref)


@page_for(Action.PLAN_JOBS)
@require_POST
def send(request: SignedInRequest, ref: str) -> HttpResponse:
    """Plan the visits of the ticked stations: they lie in the board's tray then."""
    run = _run(request, ref)
    chosen = set(request.POST.getlist("station"))
    if run.state != RunState.DONE or not chosen:
        messages.error(request, _("Tick at least one station, then send it to the tray."))
        return redirect("reports:return_found", ref)
    _say(request, send_to_tray(run=run, chosen=chosen, by=request.user, at=timezone.now()))
    return redirect("reports:return_found", ref)


def _say(request: SignedInRequest, sent: Sent) -> None:
    if sent.planned:
        words = ngettext(
            "%s visit lies in the tray of Crews and days.",
            "%s visits lie in the tray of Crews and days.",
            len(sent.planned),
        )
        messages.success(request, words % len(sent.planned))
    if sent.there:
        names = ", ".join(str(job) for job in sent.there)
        messages.info(request, _("Planned already, so not planned again: %s.") % names)
    for names, why in sent.refused:
        messages.error(request, _("Not planned: %(names)s. %(why)s") % {"names": names, "why": why})


@page_for(Action.PLAN_JOBS)
@require_POST
def unsend(request: SignedInRequest, ref: str) -> HttpResponse:
    """Withdraw the visits that were sent, as far as nobody has touched them since."""
    back = take_back(run=_run(request, ref), by=request.user, at=timezone.now())
    words = ngettext("%s visit was withdrawn.", "%s visits were withdrawn.", back.withdrawn)
    messages.success(request, words % back.withdrawn)
    if back.left:
        names = ", ".join(str(job) for job in back.left)
        messages.info(request, _("Changed since they were sent, so they stay: %s.") % names)
    return redirect("reports:return_found", ref)


def _run(request: SignedInRequest, ref: str) -> Run:
    """An answer is seen by the user who asked: it holds what that user may see."""
    return find(runs_for(request.user, RETURN_FIRST), ref=ref)
