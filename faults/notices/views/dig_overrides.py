"""The owner's reasoned word that one dig may go on against its notice, and its taking back."""

from typing import Any

from django import forms
from django.http import HttpResponse
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.access import jobs_for
from faults.cases.views.common import crumbs_of, fault_url, posted, property_crumbs, today_at
from faults.models import Job
from faults.notices.forms.notices import OverrideForm
from faults.notices.services.book import planned_start
from faults.notices.services.gate import (
    UnableToOverride,
    judge_job,
    override_dig,
    standing_overrides,
    take_back_override,
)
from faults.notices.services.words import reasons_in_words
from sites.kernel.access import SignedInRequest, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verbs import VerbPage, verb_page


def job_url(job: Job) -> str:
    """Return the page of a job, or of what it is for where jobs have no page."""
    try:
        return reverse("faults:job", args=[job.ref])
    except NoReverseMatch:
        here = reverse("reports:property", args=[job.property.ref])
        return fault_url(job.fault) if job.fault else here


def _find(request: SignedInRequest, ref: str) -> Job:
    rows = jobs_for(request.user, Action.OVERRIDE_DIG)
    return find(rows.select_related("property", "fault__property", "crew"), ref=ref)


def _page(job: Job, heading: str, button: str, act: Any, **given: Any) -> VerbPage:
    crumbs = crumbs_of(job.fault) if job.fault else property_crumbs(job.property)
    fixed: dict[str, Any] = {"back": job_url(job), "watched": [job], "crumbs": crumbs}
    return VerbPage(heading=heading, button=button, act=act, **{**fixed, **given})


@page_for(Action.OVERRIDE_DIG)
def dig_override(request: SignedInRequest, ref: str) -> HttpResponse:
    """Let a dig go on against its notice."""
    job, now = _find(request, ref), timezone.now()
    form = OverrideForm(posted(request))
    judged = judge_job(job=job, at=planned_start(job, at=now))

    def act(data: dict[str, Any]) -> str:
        override_dig(job=job, reason=data["reason"], by=request.user, at=now)
        return _("Kept. This dig may go on, on your word.")

    page = _page(
        job,
        _("Let the dig go on: %s") % job,
        _("Let it go on"),
        act,
        lead=" ".join(reasons_in_words(judged)) or _("Nothing holds this dig back."),
        caution=_(
            "Lines that nobody marked can kill. A word here changes no law: where a notice is "
            "required, it stays required."
        ),
        template="faults/verbs/form.html",
    )
    return verb_page(request, form, page)


@page_for(Action.OVERRIDE_DIG)
def dig_override_back(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take the word back."""
    job = _find(request, ref)
    held = standing_overrides([job.pk]).get(job.pk)
    form = forms.Form(posted(request))

    def act(_data: dict[str, Any]) -> str:
        if held is None:
            raise UnableToOverride(_("No such word holds for this job."))
        take_back_override(override=held, today=today_at(job.property))
        return _("Taken back. The notice holds the dig back again.")

    lead = _("%(who)s said: %(why)s") % {"who": held.by, "why": held.reason} if held else ""
    watched = [job, held] if held else [job]
    page = _page(
        job, _("Take the word back: %s") % job, _("Take it back"), act, lead=lead, watched=watched
    )
    return verb_page(request, form, page)
