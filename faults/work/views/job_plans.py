"""Plan a job, change it, send a crew, split, withdraw: the office's verbs, a page each."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from faults.access import faults_for
from faults.cases.engines.stages import CLOSED, Stage
from faults.cases.views.common import fault_url, posted, today_at
from faults.models import Fault, Job, JobKind
from faults.work.forms.jobs import FactsForm, KindForm, PlanForm, SplitForm, WhyForm
from faults.work.queries.jobs import devices_offered, open_stations_of
from faults.work.services import (
    bring_job_back,
    change_job,
    join_part,
    plan_job,
    split_job,
    withdraw_job,
)
from faults.work.services.defaults import facts_for, kind_for
from faults.work.services.told import facts_of
from faults.work.views.job_common import ask, how, job_url, the_job
from sites.kernel.access import SignedInRequest, find, page_for, properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.models import Property
from sites.register.forms.photos import AskForm

MOST_PROPERTIES_OFFERED = 400


@page_for(Action.PLAN_JOBS)
def job_add(request: SignedInRequest) -> HttpResponse:
    """Choose the property first; who plans for one only need not."""
    places = properties_for(request.user, Action.PLAN_JOBS).in_care().order_by("code", "pk")
    few = list(places[:2])
    code = request.GET.get("property", "").strip()
    named = places.filter(code__iexact=code).first() if code else None
    chosen = few[0] if len(few) == 1 else named
    if chosen is not None:
        return redirect("faults:job_add_on_property", chosen.ref)
    context = {"places": places[:MOST_PROPERTIES_OFFERED], "code": code, "not_found": bool(code)}
    return render(request, "faults/jobs/choose.html", context, status=422 if code else 200)


@page_for(Action.PLAN_JOBS)
def job_add_on_property(request: SignedInRequest, ref: str) -> HttpResponse:
    """Plan a job on this property."""
    place = find(properties_for(request.user, Action.PLAN_JOBS), ref=ref)
    return _plan(request, place, None)


@page_for(Action.PLAN_JOBS)
def job_add_for_fault(request: SignedInRequest, ref: str) -> HttpResponse:
    """Plan a job of this fault."""
    faults = faults_for(request.user, Action.PLAN_JOBS).select_related("property")
    fault = find(faults, ref=ref)
    return _plan(request, fault.property, fault)


def _plan(request: SignedInRequest, place: Property, fault: Fault | None) -> HttpResponse:
    kind = _kind(request, fault)
    form = PlanForm(
        posted(request),
        place=place,
        fault=fault,
        kind=kind,
        facts=facts_for(kind, fault),
        rows=open_stations_of(fault) if fault else [],
        devices=devices_offered(place),
    )
    planned: list[Job] = []

    def act(_data: dict[str, Any]) -> str:
        planned.append(
            plan_job(
                place=place,
                kind=kind,
                facts=form.facts(),
                fault=fault,
                stations=form.named_stations(),
                devices=form.named_devices(),
                by=request.user,
                today=today_at(place),
            )
        )
        return _("Planned. Assign it to a crew and a day, and somebody goes.")

    page = VerbPage(
        heading=_("Plan a job: %(kind)s, %(of)s") % {"kind": kind.label, "of": fault or place},
        button=_("Plan this job"),
        back=fault_url(fault) if fault else reverse("reports:property", args=[place.ref]),
        watched=[],
        act=act,
        crumbs=_crumbs(place, fault),
        lead=_closed_words(fault),
        template="faults/jobs/plan.html",
        after=lambda: job_url(planned[0]),
        extra={"kinds": JobKind.choices, "kind": kind.value},
    )
    return verb_page(request, form, page)


def _kind(request: SignedInRequest, fault: Fault | None) -> JobKind:
    asked = KindForm(request.GET)
    return JobKind(asked.cleaned_data["kind"]) if asked.is_valid() else kind_for(fault)


def _crumbs(place: Property, fault: Fault | None) -> list[tuple[str, str]]:
    crumbs = [
        (reverse("faults:jobs"), _("Jobs")),
        (reverse("reports:property", args=[place.ref]), place.code),
    ]
    return [*crumbs, (fault_url(fault), str(fault))] if fault else crumbs


def _closed_words(fault: Fault | None) -> str:
    if fault is not None and Stage(fault.stage) in CLOSED:
        return _("This fault is closed. Open it again before a visit is planned.")
    return ""


@page_for(Action.PLAN_JOBS)
def job_change(request: SignedInRequest, ref: str) -> HttpResponse:
    """Change what a job needs."""
    job = the_job(request, ref, Action.PLAN_JOBS)
    form = FactsForm(posted(request), place=job.property, kind=job.kind, facts=facts_of(job))

    def act(_data: dict[str, Any]) -> str:
        change_job(job=job, facts=form.facts())
        return _("The job is changed.")

    template = "faults/verbs/form.html"
    return ask(request, job, form, act, _("Change this job"), _("Change it"), template=template)


@page_for(Action.PLAN_JOBS)
def job_split(request: SignedInRequest, ref: str) -> HttpResponse:
    """Make two jobs of one; the minutes stay the same in all."""
    job = the_job(request, ref, Action.PLAN_JOBS)
    form = SplitForm(posted(request), job=job)

    def act(data: dict[str, Any]) -> str:
        day = data.get("day")
        part = split_job(job=job, minutes=data["minutes"], day=day, **how(request, job))
        return _("Split: %(part)s minutes in the new part, %(rest)s here.") % {
            "part": part.expected_minutes,
            "rest": job.expected_minutes,
        }

    lead = _("%s minutes are expected now.") % job.expected_minutes
    return ask(request, job, form, act, _("Split this job"), _("Split it"), lead=lead)


@page_for(Action.PLAN_JOBS)
def job_join(request: SignedInRequest, ref: str) -> HttpResponse:
    """Give the minutes of a part back to the job that it was split from."""
    job = the_job(request, ref, Action.PLAN_JOBS)

    def act(_data: dict[str, Any]) -> str:
        whole = join_part(job=job, **how(request, job))
        return _("Joined: %s minutes in one job again.") % whole.expected_minutes

    form = AskForm(posted(request))
    return ask(request, job, form, act, _("Join this part to its job again?"), _("Join it"))


@page_for(Action.PLAN_JOBS)
def job_withdraw(request: SignedInRequest, ref: str) -> HttpResponse:
    """Withdraw the visit, with the reason."""
    job = the_job(request, ref, Action.PLAN_JOBS)

    def act(data: dict[str, Any]) -> str:
        withdraw_job(job=job, why=data["why"], **how(request, job))
        return _("Withdrawn. It can be brought back.")

    lead = _("Stations that only this visit was to go to are reported again, with the reason.")
    form = WhyForm(posted(request))
    return ask(request, job, form, act, _("Withdraw this job"), _("Withdraw it"), lead=lead)


@page_for(Action.PLAN_JOBS)
def job_bring_back(request: SignedInRequest, ref: str) -> HttpResponse:
    """Plan a withdrawn job again."""
    job = the_job(request, ref, Action.PLAN_JOBS)

    def act(_data: dict[str, Any]) -> str:
        bring_job_back(job=job)
        return _("The job is planned again. Assign it again.")

    form = AskForm(posted(request))
    return ask(request, job, form, act, _("Bring this job back?"), _("Bring it back"))
