"""What the pages of jobs share: loading one, the way to it, and the page of a verb on it."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.http import HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.cases.views.common import today_at
from faults.models import Job
from faults.work.queries.jobs import job_to_show
from sites.kernel.access import SignedInRequest, find
from sites.kernel.engines.roles import Action
from sites.kernel.views.verbs import VerbPage, verb_page

Act = Callable[[dict[str, Any]], str]


def job_url(job: Job) -> str:
    """Return the address of a job's page."""
    return reverse("faults:job", args=[job.ref])


def job_crumbs(job: Job) -> list[tuple[str, str]]:
    """Return the way from all jobs to this one."""
    place = job.property
    return [
        (reverse("faults:jobs"), _("Jobs")),
        (reverse("reports:property", args=[place.ref]), place.code),
        (job_url(job), job.get_kind_display()),
    ]


def the_job(request: SignedInRequest, ref: str, action: Action) -> Job:
    """Return the job on which the user has the action, or 404."""
    return find(job_to_show(request.user, action), ref=ref)


def how(request: SignedInRequest, job: Job) -> dict[str, Any]:
    """Return by whom and when a verb is done."""
    return {"by": request.user, "at": timezone.now(), "today": today_at(job.property)}


def ask(
    request: SignedInRequest,
    job: Job,
    form: forms.BaseForm,
    act: Act,
    heading: str,
    button: str,
    **page: Any,
) -> HttpResponse:
    """Show the form of a verb on a job, or act on it."""
    told = {"watched": [job], "back": job_url(job), "crumbs": job_crumbs(job), **page}
    return verb_page(request, form, VerbPage(heading=heading, button=button, act=act, **told))
