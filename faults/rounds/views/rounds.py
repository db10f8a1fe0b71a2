"""Rounds: the list, one with how far it is, and the dated list for a client."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.access import rounds_for, stops_for
from faults.models import JobState
from faults.rounds.forms.lists import RoundFilter
from faults.rounds.forms.rounds import DatesForm
from faults.rounds.queries.rounds import (
    clients_with_rounds,
    round_to_show,
    rounds_listed,
    running_rounds,
)
from faults.rounds.services.dates import dated_file, dated_list
from faults.rounds.services.of_job import progress_of_job
from faults.rounds.services.shown import shown_round
from faults.rounds.services.words import reason_words
from faults.rounds.tables import RoundTable
from faults.work.views.job_common import job_crumbs, the_job
from sites.kernel.access import SignedInRequest, actions_anywhere, find, may, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.history import history_of
from sites.kernel.views.table_files import list_file, wanted_file
from sites.register.views.lists import list_page

# As many as one reads; the file has all.
MOST_SHOWN = 400


@page_for(Action.SEE_ROUNDS)
def rounds(request: SignedInRequest) -> HttpResponse:
    """All rounds by name."""
    adding: dict[str, Any] = {
        "add_url": reverse("faults:round_add"),
        "add_label": _("Make a round"),
    }
    return list_page(
        request,
        heading=_("Rounds"),
        none_yet=_("No round was made yet."),
        rows=rounds_listed(request.user),
        filter_class=RoundFilter,
        table_class=RoundTable,
        lead=_(
            "Planned walks over chosen properties and stations. Visits are planned four weeks "
            "ahead, each once; what is done shows by what was recorded at the stations."
        ),
        further=[(reverse("faults:round_dates"), _("Dated list for a client"))],
        **(adding if Action.PLAN_JOBS in actions_anywhere(request.user) else {}),
    )


@page_for(Action.SEE_ROUNDS)
def round_page(request: SignedInRequest, ref: str) -> HttpResponse:
    """One round: each property with its visit, what is done of it, and what was left."""
    one = find(round_to_show(request.user), ref=ref)
    may_plan = rounds_for(request.user, Action.PLAN_JOBS).filter(pk=one.pk).exists()
    context: dict[str, object] = {
        "round": one,
        "shown": shown_round(request.user, one, at=timezone.now()),
        "may_plan": may_plan,
        "may_report": stops_for(request.user, Action.ISSUE_REPORTS).filter(round=one).exists(),
        "crumbs": [(reverse("faults:rounds"), _("Rounds"))],
        "history": history_of(one) if _sees_history(request) else None,
    }
    return render(request, "faults/rounds/round.html", context)


def _sees_history(request: SignedInRequest) -> bool:
    return Action.SEE_HISTORY in actions_anywhere(request.user)


@page_for(Action.SEE_WORK)
def job_progress(request: SignedInRequest, ref: str) -> HttpResponse:
    """How far one visit is: each of its stations or timers, done when, or left and why."""
    job = the_job(request, ref, Action.SEE_WORK)
    come, visit = progress_of_job(job)
    user, place = request.user, job.property
    is_to_plan = job.state == JobState.DONE and may(user, Action.PLAN_JOBS, place)
    is_called_off = job.state == JobState.WITHDRAWN
    context = {
        "job": job,
        "place": place,
        "visit": visit,
        "come": come,
        "lines": [(each, reason_words(each) if each.left else "") for each in come.targets],
        "may_leave": not is_called_off and may(user, Action.WORK_JOBS, place),
        "may_plan_left": is_to_plan and bool(come.left),
        "may_report": may(user, Action.REPORT_FAULT, place),
        "crumbs": job_crumbs(job),
    }
    return render(request, "faults/rounds/progress.html", context)


@page_for(Action.SEE_ROUNDS)
def round_dates(request: SignedInRequest) -> HttpResponse:
    """What was done, is planned and comes, in order of the days: a page that prints, or a file."""
    user, today = request.user, timezone.localdate()
    form = DatesForm(
        request.GET,
        clients=clients_with_rounds(user),
        rounds=list(rounds_for(user).order_by("name", "pk")),
        today=today,
    )
    rows = []
    if form.is_valid():
        client, the_round = form.chosen("client"), form.chosen("round")
        rows = dated_list(
            user,
            since=form.cleaned_data["since"],
            until=form.cleaned_data["until"],
            at=timezone.now(),
            client=client and client.pk,
            the_round=the_round and the_round.pk,
        )
        if kind := wanted_file(request):
            return list_file(dated_file(rows), kind=kind)
    query = request.GET.copy()
    query.pop("export", None)
    context = {
        "form": form,
        "rows": rows[:MOST_SHOWN],
        "is_shortened": len(rows) > MOST_SHOWN,
        "query": query.urlencode(),
        "client": form.chosen("client") if form.is_valid() else None,
        "has_rounds": bool(running_rounds(user)),
    }
    return render(request, "faults/rounds/dates.html", context, status=422 if form.errors else 200)
