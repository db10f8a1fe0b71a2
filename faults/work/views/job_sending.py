"""Who goes when: assign, move, take back, lock and unlock a job, a page each."""

from typing import Any

from django.http import HttpResponse
from django.utils.translation import gettext as _

from faults.cases.views.common import posted, today_at
from faults.models import Job
from faults.work.forms.jobs import SendForm, WhyForm
from faults.work.queries.jobs import crews_to_send
from faults.work.services import assign_job, lock_job, move_job, unassign_job, unlock_job
from faults.work.views.job_common import ask, how, the_job
from sites.kernel.access import SignedInRequest, page_for
from sites.kernel.engines.roles import Action
from sites.register.forms.photos import AskForm


def _send_form(request: SignedInRequest, job: Job) -> SendForm:
    today = today_at(job.property)
    crews = crews_to_send(on=today, besides=job.crew)
    return SendForm(posted(request), crews=crews, job=job, today=today)


@page_for(Action.PLAN_JOBS)
def job_assign(request: SignedInRequest, ref: str) -> HttpResponse:
    """Send a crew on a day."""
    job = the_job(request, ref, Action.PLAN_JOBS)
    form = _send_form(request, job)

    def act(_data: dict[str, Any]) -> str:
        assign_job(job=job, **form.told(), **how(request, job))
        return _("%(crew)s goes on %(day)s.") % {"crew": job.crew, "day": job.day}

    return ask(
        request,
        job,
        form,
        act,
        _("Assign this job"),
        _("Assign it"),
        lead="" if form.crews else _("There is no crew yet. Add one under Crews first."),
    )


@page_for(Action.PLAN_JOBS)
def job_move(request: SignedInRequest, ref: str) -> HttpResponse:
    """Send another crew, or on another day."""
    job = the_job(request, ref, Action.PLAN_JOBS)
    form = _send_form(request, job)

    def act(_data: dict[str, Any]) -> str:
        move_job(job=job, **form.told(), **how(request, job))
        return _("Moved: %(crew)s goes on %(day)s.") % {"crew": job.crew, "day": job.day}

    return ask(request, job, form, act, _("Move this job"), _("Move it"))


@page_for(Action.PLAN_JOBS)
def job_unassign(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take a job from its crew, with the reason."""
    job = the_job(request, ref, Action.PLAN_JOBS)

    def act(data: dict[str, Any]) -> str:
        unassign_job(job=job, why=data["why"], **how(request, job))
        return _("Nobody goes now. The job waits to be assigned.")

    lead = _("Stations that only this visit was to go to are reported again, with the reason.")
    form = WhyForm(posted(request))
    return ask(request, job, form, act, _("Take this job from its crew"), _("Take it"), lead=lead)


@page_for(Action.PLAN_JOBS)
def job_lock(request: SignedInRequest, ref: str) -> HttpResponse:
    """Keep crew and day."""
    job = the_job(request, ref, Action.PLAN_JOBS)

    def act(_data: dict[str, Any]) -> str:
        lock_job(job=job)
        return _("Locked: crew and day stay as they are.")

    lead = _("A locked job is not moved, by nobody and by no suggestion, until it is unlocked.")
    form = AskForm(posted(request))
    return ask(request, job, form, act, _("Lock this job to its day?"), _("Lock it"), lead=lead)


@page_for(Action.PLAN_JOBS)
def job_unlock(request: SignedInRequest, ref: str) -> HttpResponse:
    """Unlock the job."""
    job = the_job(request, ref, Action.PLAN_JOBS)

    def act(_data: dict[str, Any]) -> str:
        unlock_job(job=job)
        return _("Unlocked: the job can be moved.")

    form = AskForm(posted(request))
    return ask(request, job, form, act, _("Unlock this job?"), _("Unlock it"))
