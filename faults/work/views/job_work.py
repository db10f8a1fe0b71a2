"""The visit itself: start, finish, hold, what is on the vehicle, what a dig must think of."""

from datetime import datetime
from typing import Any

from django.http import HttpResponse
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.cases.views.common import posted, today_at
from faults.models import Job
from faults.work.forms.job_lines import SafetyForm
from faults.work.forms.jobs import FinishForm, HoldForm, VehicleForm, WhyForm
from faults.work.queries.jobs import answers_of_job
from faults.work.services import (
    finish_job,
    hold_job,
    load_vehicle,
    release_job,
    reopen_job,
    start_job,
    take_back_start,
)
from faults.work.services.safety import answer_safety, hand_dug_of, prompt_lines
from faults.work.views.job_common import ask, how, the_job
from sites.kernel.access import SignedInRequest, page_for
from sites.kernel.engines.roles import Action
from sites.register.forms.photos import AskForm


def local_law() -> str:
    """Return the sentence that stands beside every rule of ours."""
    return _(
        "Prompts, not legal advice: local codes and licensed practice decide. Before anybody digs, "
        "have underground utilities marked (call 811 in the US)."
    )


@page_for(Action.WORK_JOBS)
def job_start(request: SignedInRequest, ref: str) -> HttpResponse:
    """Begin the visit."""
    job = the_job(request, ref, Action.WORK_JOBS)

    def act(_data: dict[str, Any]) -> str:
        start_job(job=job, **how(request, job))
        return _("Started.")

    caution = local_law() if job.digs() else ""
    form = AskForm(posted(request))
    return ask(request, job, form, act, _("Start this job?"), _("Start it"), caution=caution)


@page_for(Action.WORK_JOBS)
def job_start_back(request: SignedInRequest, ref: str) -> HttpResponse:
    """Say that nobody has started after all."""
    job = the_job(request, ref, Action.WORK_JOBS)

    def act(_data: dict[str, Any]) -> str:
        take_back_start(job=job)
        return _("The job is planned again, as before.")

    form = AskForm(posted(request))
    return ask(request, job, form, act, _("Not started after all?"), _("It was not started"))


@page_for(Action.WORK_JOBS)
def job_finish(request: SignedInRequest, ref: str) -> HttpResponse:
    """End the visit with the minutes that it took."""
    job = the_job(request, ref, Action.WORK_JOBS)
    now = timezone.now()
    form = FinishForm(posted(request), minutes=_minutes(job, now))

    def act(data: dict[str, Any]) -> str:
        minutes: int = data["actual_minutes"]
        finish_job(job=job, actual_minutes=minutes, at=now, by=request.user)
        return _("Done in %s minutes. Take its time, parts and photos down below.") % minutes

    return ask(request, job, form, act, _("Finish this job"), _("It is done"))


def _minutes(job: Job, now: datetime) -> int:
    """Propose the time since the start, or what was expected where a day or more went by."""
    if job.started_at is None:
        return job.expected_minutes
    passed = round((now - job.started_at).total_seconds() / 60)
    return passed if 0 < passed < 12 * 60 else job.expected_minutes


@page_for(Action.WORK_JOBS)
def job_reopen(request: SignedInRequest, ref: str) -> HttpResponse:
    """Put a job that was finished by mistake back under way."""
    job = the_job(request, ref, Action.WORK_JOBS)

    def act(data: dict[str, Any]) -> str:
        reopen_job(job=job, why=data["why"])
        return _("The job is under way again.")

    return ask(request, job, WhyForm(posted(request)), act, _("Reopen this job"), _("Reopen it"))


@page_for(Action.WORK_JOBS)
def job_hold(request: SignedInRequest, ref: str) -> HttpResponse:
    """Say whom or what the job waits for."""
    job = the_job(request, ref, Action.WORK_JOBS)
    today = today_at(job.property)
    form = HoldForm(posted(request), today=today)

    def act(data: dict[str, Any]) -> str:
        hold_job(job=job, **data, today=today)
        return _("Held for %s.") % str(job.get_held_for_display())

    return ask(request, job, form, act, _("Hold this job"), _("Hold it"))


@page_for(Action.WORK_JOBS)
def job_release(request: SignedInRequest, ref: str) -> HttpResponse:
    """Release a held job."""
    job = the_job(request, ref, Action.WORK_JOBS)

    def act(_data: dict[str, Any]) -> str:
        release_job(job=job)
        return _("The job is no longer held.")

    form = AskForm(posted(request))
    return ask(request, job, form, act, _("Release this job?"), _("Release it"))


@page_for(Action.WORK_JOBS)
def job_vehicle(request: SignedInRequest, ref: str) -> HttpResponse:
    """Say whether parts and batteries are on the vehicle."""
    job = the_job(request, ref, Action.WORK_JOBS)
    now = {"parts_ready": job.parts_ready, "batteries_ready": job.batteries_ready}
    form = VehicleForm(posted(request), initial=now)

    def act(data: dict[str, Any]) -> str:
        load_vehicle(job=job, **data)
        return _("Noted.")

    lead = _("Parts needed: %s") % job.parts_needed if job.parts_needed else ""
    return ask(request, job, form, act, _("What is on the vehicle?"), _("Note it"), lead=lead)


@page_for(Action.WORK_JOBS)
def job_safety(request: SignedInRequest, ref: str) -> HttpResponse:
    """How deep, what is around it, and the answers that this depth asks for."""
    job = the_job(request, ref, Action.WORK_JOBS)
    form = SafetyForm(posted(request), job=job)

    def act(_data: dict[str, Any]) -> str:
        answer_safety(job=job, **form.told(), by=request.user, at=timezone.now())
        return _("Kept. If the depth changed, look at the prompts again.")

    lines = prompt_lines(job, answers_of_job(job))
    return ask(
        request,
        job,
        form,
        act,
        _("Before the hole is dug"),
        _("Keep this"),
        lead="" if lines else _("Say how deep it will be: the prompts follow from that."),
        caution=f"{hand_dug_of(job, at=timezone.now())} {local_law()}",
        template="faults/jobs/safety.html",
        extra={"rules": lines},
    )
