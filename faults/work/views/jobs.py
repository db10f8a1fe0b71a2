"""Jobs: the list, and one with all that is known of it."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.access import jobs_for
from faults.cases.services.stays_on import stays_on_words
from faults.models import CHARGE_CHOICES, OPEN_JOB_STATES, PURPOSES, Job, LineBasis
from faults.work.forms.job_filters import JobFilter, JobLineFilter
from faults.work.queries.jobs import (
    answers_of_job,
    job_to_show,
    jobs_listed,
    lines_listed,
    lines_of,
    photos_of_job,
    stations_of_job,
)
from faults.work.queries.people import people_there
from faults.work.services.clashes import clashes_of
from faults.work.services.heat_words import heat_of
from faults.work.services.limits import LIMITED
from faults.work.services.lines import totals_of
from faults.work.services.proposed import visit_of
from faults.work.services.readiness import readiness_of
from faults.work.services.ready_lines import Subject
from faults.work.services.safety import hand_dug_of, prompt_lines, situations_in_words
from faults.work.tables import JobLineTable, JobTable
from faults.work.views.job_many import JobMany
from faults.work.views.job_steps import steps_of
from sites.kernel.access import SignedInRequest, actions_anywhere, actions_on, find, may, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.history import history_of
from sites.models import today_at
from sites.register.views.lists import list_page


@page_for(Action.SEE_WORK)
def jobs(request: SignedInRequest) -> HttpResponse:
    """All jobs, the latest day first."""
    may_do = actions_anywhere(request.user)
    further = [(reverse("faults:crews"), _("Crews"))]
    if Action.SEE_RATES in may_do:
        further.append((reverse("faults:job_lines"), _("Lines for the books")))
    adding: dict[str, Any] = {"add_url": reverse("faults:job_add"), "add_label": _("Plan a job")}
    return list_page(
        request,
        heading=_("Jobs"),
        none_yet=_("No job was planned yet."),
        rows=jobs_listed(request.user),
        filter_class=JobFilter,
        table_class=JobTable,
        many=JobMany,
        further=further,
        **(adding if Action.PLAN_JOBS in may_do else {}),
    )


@page_for(Action.SEE_RATES)
def job_lines(request: SignedInRequest) -> HttpResponse:
    """Lines of all jobs over a period, for any book-keeping."""
    return list_page(
        request,
        heading=_("Lines of jobs"),
        none_yet=_("No line was entered yet."),
        rows=lines_listed(request.user),
        filter_class=JobLineFilter,
        table_class=JobLineTable,
        lead=_(
            "Time, parts and standing by. Choose the days, then take the file below into your "
            "books. Each amount is rounded once, half a cent up; struck lines are left out."
        ),
        further=[(reverse("faults:jobs"), _("Jobs"))],
    )


def _stays_on(job: Job) -> str:
    """The caution of a station that waters and cannot be stopped, while the job is open."""
    fault = job.fault if job.state in OPEN_JOB_STATES else None
    return stays_on_words(fault) if fault is not None and fault.wastes_water() else ""


@page_for(Action.SEE_WORK)
def job(request: SignedInRequest, ref: str) -> HttpResponse:
    """One job."""
    one = find(job_to_show(request.user), ref=ref)
    today = today_at(one.property)
    may_here = actions_on(request.user, one.property)
    context: dict[str, object] = {
        "job": one,
        "place": one.property,
        "may_here": may_here,
        "is_open": one.state in OPEN_JOB_STATES,
        "steps": steps_of(one, may_here, user=request.user, today=today),
        "stations": stations_of_job(one),
        "is_round": one.kind in PURPOSES,
        "devices": one.devices.order_by("name", "pk"),
        "parts": jobs_for(request.user).filter(split_from=one).order_by("pk"),
        "clashes": clashes_of([one], today=today).get(one.pk, []),
        "stays_on_words": _stays_on(one),
        "heat": heat_of(one, today),
        **_readiness(one, today),
        **_dig(one),
        **_lines(one),
        "people": people_there(one),
        **_photos(one),
    }
    if may(request.user, Action.SEE_HISTORY, one.property):
        context["history"] = history_of(one)
    return render(request, "faults/jobs/job.html", context)


def _readiness(one: Job, today: Any) -> dict[str, Any]:
    if one.state not in OPEN_JOB_STATES:
        return {}
    found = readiness_of([one], today=today)[one.pk]
    lacks_consent = any(line.subject is Subject.CONSENT for line in found.lacking)
    is_over = lacks_consent and one.kind in LIMITED and one.fault_id is not None
    return {"readiness": found, "may_be_over": is_over, "let_beyond": found.is_let_beyond}


def _dig(one: Job) -> dict[str, object]:
    if not one.digs():
        return {}
    return {
        "prompts": prompt_lines(one, answers_of_job(one)),
        "situations": situations_in_words(one),
        "hand_dug": hand_dug_of(one, at=timezone.now()),
    }


def _lines(one: Job) -> dict[str, object]:
    lines = lines_of(one)
    words = dict(LineBasis.choices)
    totals = [(words[LineBasis(basis)], money) for basis, money in totals_of(lines).items()]
    unpriced = any(line.amount is None and line.removed_on is None for line in lines)
    # Money of two currencies has no sum: a change of the list's would show here.
    currencies = dict.fromkeys(str(getattr(line, "currency", "")) for line in lines)
    currency = "/".join(filter(None, currencies))
    visit = visit_of(one, lines)
    words_of = dict(CHARGE_CHOICES)
    return {
        "man_hours": visit and f"{visit.man_hours:.2f}",
        "crew_words": visit and visit.crew_words,
        "proposed": [(each, words_of[each.charge.value]) for each in visit.proposed]
        if visit
        else [],
        "lines": lines,
        "totals": totals,
        "unpriced": unpriced,
        "currency": currency,
    }


def _photos(one: Job) -> dict[str, object]:
    photos = photos_of_job(one)
    return {
        "photos": [photo for photo in photos if photo.hidden_on is None],
        "hidden_photos": [photo for photo in photos if photo.hidden_on],
    }
