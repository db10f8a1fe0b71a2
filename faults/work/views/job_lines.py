"""Lines of a job: add one, correct it, strike it out, put it back. And what a hole may cost."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from faults.access import job_lines_for
from faults.cases.views.common import posted, today_at
from faults.models import JobLine, LineKind
from faults.work.forms.job_lines import HoleForm, LineForm, ground_of
from faults.work.forms.jobs import WhyForm
from faults.work.services.estimate import estimate
from faults.work.services.lines import add_line, correct_line, put_line_back, remove_line
from faults.work.views.job_common import ask, job_crumbs, the_job
from sites.kernel.access import SignedInRequest, find, may, page_for
from sites.kernel.engines.roles import Action
from sites.register.forms.photos import AskForm


@page_for(Action.WORK_JOBS)
def job_line_add(request: SignedInRequest, ref: str) -> HttpResponse:
    """Add a line for time, parts or standing by."""
    job = the_job(request, ref, Action.WORK_JOBS)
    today = today_at(job.property)
    asked = request.GET.get("kind", "")
    kind = asked if asked in LineKind.values else LineKind.TIME
    sees_prices = may(request.user, Action.SEE_RATES, job.property)
    form = LineForm(posted(request), job=job, sees_prices=sees_prices, today=today, kind=kind)

    def act(_data: dict[str, Any]) -> str:
        line = add_line(job=job, facts=form.facts(), by=request.user, today=today)
        return _("The line is kept: %s.") % line.what

    return ask(
        request,
        job,
        form,
        act,
        _("Add a line"),
        _("Keep this line"),
        # Two people may add lines to one job at once: neither overwrites the other.
        watched=[],
        template="faults/jobs/line.html",
        extra={"kinds": LineKind.choices, "kind": str(kind)},
    )


def _line(request: SignedInRequest, pk: int) -> JobLine:
    rows = job_lines_for(request.user, Action.WORK_JOBS)
    return find(rows.select_related("job__property", "job__fault"), pk=pk)


@page_for(Action.WORK_JOBS)
def job_line_correct(request: SignedInRequest, pk: int) -> HttpResponse:
    """Correct what a line says."""
    line = _line(request, pk)
    today = today_at(line.job.property)
    sees_prices = may(request.user, Action.SEE_RATES, line.job.property)
    form = LineForm(posted(request), job=line.job, sees_prices=sees_prices, today=today, line=line)

    def act(data: dict[str, Any]) -> str:
        correct_line(line=line, facts=form.facts(), why=data["why"], today=today)
        return _("Corrected. History keeps what was there before.")

    heading, button = _("Correct a line"), _("Correct it")
    return ask(request, line.job, form, act, heading, button, watched=[line])


@page_for(Action.WORK_JOBS)
def job_line_remove(request: SignedInRequest, pk: int) -> HttpResponse:
    """Strike a line out."""
    line = _line(request, pk)

    def act(data: dict[str, Any]) -> str:
        remove_line(line=line, why=data["why"], today=today_at(line.job.property))
        return _("Struck out: it counts nowhere, and can be put back.")

    heading = _("Strike out “%s”") % line.what
    form = WhyForm(posted(request))
    return ask(request, line.job, form, act, heading, _("Strike it out"), watched=[line])


@page_for(Action.WORK_JOBS)
def job_line_put_back(request: SignedInRequest, pk: int) -> HttpResponse:
    """Put a struck line back."""
    line = _line(request, pk)

    def act(_data: dict[str, Any]) -> str:
        put_line_back(line=line)
        return _("The line counts again.")

    heading = _("Put “%s” back?") % line.what
    form = AskForm(posted(request))
    return ask(request, line.job, form, act, heading, _("Put it back"), watched=[line])


@page_for(Action.SEE_WORK)
def job_estimate(request: SignedInRequest, ref: str) -> HttpResponse:
    """How many hours the hole takes by hand, as a range, and what that comes to."""
    job = the_job(request, ref, Action.SEE_WORK)
    place = job.property
    known = {"depth_in": job.planned_depth_in, "ground": ground_of(place.soil)}
    form = HoleForm(request.GET if "length_ft" in request.GET else None, place=place, initial=known)
    sees_prices = may(request.user, Action.SEE_RATES, place)
    today = today_at(place)
    found = estimate(place, form.cleaned_data, today=today) if form.is_valid() else None
    context = {
        "job": job,
        "place": place,
        "form": form,
        "crumbs": job_crumbs(job),
        "found": found,
        "sees_prices": sees_prices,
        "today": today,
    }
    status = 422 if form.errors else 200
    return render(request, "faults/jobs/estimate.html", context, status=status)
