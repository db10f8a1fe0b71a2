"""What pages of kept answers share: the answer or how far it is, asking for it, its progress."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from reports.summaries.services.kept_runs import ask_for, newest, under_way
from sites.kernel.access import SignedInRequest, actions_anywhere
from sites.kernel.engines.roles import Action
from sites.runs.services import goes_on
from sites.runs.views import progress_page

PROGRESS = "reports/kept/_progress.html"


def kept_context(request: SignedInRequest, service: str, page: str) -> dict[str, Any]:
    """Return the kept answer as `run`, what is under way as `now`, and where to ask for it."""
    now = under_way(request.user, service)
    return {
        "run": newest(request.user, service),
        "now": now,
        "goes_on": now is not None and goes_on(now),
        "may_export": Action.EXPORT in actions_anywhere(request.user),
        "work_url": reverse(f"{page}_work_out"),
        "progress_url": reverse(f"{page}_progress"),
    }


def ask(request: SignedInRequest, service: str, page: str) -> HttpResponse:
    """Work it out again; nothing else is changed by it."""
    ask_for(service, by=request.user, at=timezone.now())
    return redirect(page)


def progress_of(request: SignedInRequest, service: str, page: str) -> HttpResponse:
    """Show how far the new answer is, polled each second; at its end the page is loaded again."""
    run = under_way(request.user, service)
    if run is None or not goes_on(run):
        return HttpResponse(status=204, headers={"HX-Refresh": "true"})
    return progress_page(request, run, PROGRESS, progress_url=reverse(f"{page}_progress"))
