"""How long to soak the ground before a job, and the note that it was done."""

from datetime import timedelta

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from faults.access import jobs_for
from faults.cases.views.common import crumbs_about
from faults.models import Job
from faults.work.engines.soak import Texture
from faults.work.forms.soak import NoteSoakForm, SoakForm
from faults.work.services.ready_facts import facts_of
from faults.work.services.soak_plan import soak_plan
from faults.work.services.soaking import note_soak, texture_of
from faults.work.views.job_common import JobView
from sites.kernel.access import SignedInRequest, actions_on, find, page_for, properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_views import Crumbs
from sites.models import Property, Units, today_at

# Defaults until the user enters others: common practice, no source.
USUAL_DEPTH_IN, USUAL_RATE, USUAL_AREA_SQFT = 12, 1.5, 120
METRIC_RATE_MM, METRIC_AREA_SQM = 38, 11


@page_for(Action.SEE_WORK)
def soak(request: SignedInRequest, ref: str) -> HttpResponse:
    """How long to soak at a property."""
    place = find(properties_for(request.user, Action.SEE_WORK), ref=ref)
    return _soak(request, place, None)


@page_for(Action.SEE_WORK)
def job_soak(request: SignedInRequest, ref: str) -> HttpResponse:
    """How long to soak before a job."""
    job = _find(request, ref, Action.SEE_WORK)
    return _soak(request, job.property, job)


def _soak(request: SignedInRequest, place: Property, job: Job | None) -> HttpResponse:
    usual, today = _usual(place, job), today_at(place)
    form = SoakForm({**usual, **request.GET.dict()}, place=place)
    plan = None
    if form.is_valid():
        dig_on = form.cleaned_data["dig_on"]
        plan = soak_plan(form.wanted(), dig_on=dig_on, today=today, place=place)
    context = {
        "place": place,
        "job": job,
        "form": form,
        "plan": plan,
        "dig_on": form.cleaned_data.get("dig_on"),
        "is_texture_known": texture_of(place.soil) is not None,
        "is_told": bool(request.GET),
        "crumbs": _crumbs(place, job),
        "may_here": actions_on(request.user, place),
    }
    return render(request, "faults/notices/soak.html", context, status=422 if form.errors else 200)


def _usual(place: Property, job: Job | None) -> dict[str, object]:
    """What the form starts with: what is known of the place, else what is usual."""
    is_metric = place.units == Units.METRIC
    depth_in = (facts_of([job]).cable_depth_in(job) if job else None) or USUAL_DEPTH_IN
    day = job.day if job and job.day else today_at(place) + timedelta(days=2)
    return {
        "texture": (texture_of(place.soil) or Texture.LOAM).value,
        "depth": f"{depth_in * 2.54:.0f}" if is_metric else f"{depth_in:g}",
        "share_missing": 50,
        "efficiency": 75,
        "rate": METRIC_RATE_MM if is_metric else USUAL_RATE,
        "area": METRIC_AREA_SQM if is_metric else USUAL_AREA_SQFT,
        "dig_on": day.isoformat(),
    }


class JobSoaked(JobView):
    """Note that the ground of a job was soaked, and how deep a rod goes."""

    verb = note_soak
    form_class = NoteSoakForm
    heading = _("The soil of %s")
    lead = _("A rod that reaches the cable counts more than days: soil differs within a lawn.")
    caution = _("Do not let water stand in an open hole (29 CFR 1926.651(h)).")

    def get_initial(self) -> dict[str, object]:
        return {"soaked_on": self.row.soaked_on or self.today}

    def get_crumbs(self) -> Crumbs:
        return _crumbs(self.row.property, self.row)


def _find(request: SignedInRequest, ref: str, action: Action) -> Job:
    rows = jobs_for(request.user, action)
    return find(rows.select_related("property", "fault__property", "crew"), ref=ref)


def _crumbs(place: Property, job: Job | None) -> Crumbs:
    way = crumbs_about(place, job.fault if job else None)
    return [*way, (reverse("faults:job_soak", args=[job.ref]), str(job))] if job else way
