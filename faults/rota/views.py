"""Pages of a suggested rota: what to plan, how far it is, the plan, taking it over."""

from datetime import date
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.functional import cached_property
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _l
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from faults.access import may_see_crew_costs, runs_for
from faults.models import Job
from faults.rota.engines.keeping import KEEPING_MIN
from faults.rota.forms import PriorityForm, SuggestForm
from faults.rota.services.comparing import job_name
from faults.rota.services.drives import UNKNOWN_DRIVE_MIN
from faults.rota.services.gathering import MOVING_MIN
from faults.rota.services.overtime import route_words
from faults.rota.services.priorities import (
    Proposed,
    Stood,
    differing,
    proposals_of,
    set_job_priority,
)
from faults.rota.services.suggesting import SUGGEST, start_suggestion
from faults.rota.services.taking_over import Taken, take_over
from faults.rota.services.working_time import offered_crews
from faults.work.queries.jobs import job_to_show
from faults.work.views.job_common import JobView, job_url, the_job
from sites.kernel.access import SignedInRequest, find, may, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.many import Named
from sites.kernel.views.acted import acted_here, ticking
from sites.kernel.views.acts import Act
from sites.kernel.views.many import ManyView
from sites.kernel.views.verb_views import Text
from sites.models import Run, RunState, User, today_at
from sites.runs.services import cancel_run, goes_on
from sites.runs.views import progress_page, progress_part

A_PAGE = 50


@page_for(Action.PLAN_JOBS)
def suggest(request: SignedInRequest) -> HttpResponse:
    """Choose days and crews, then plan in the background."""
    today = timezone.localdate()
    posted = request.POST if request.method == "POST" else None
    form = SuggestForm(posted, crews=offered_crews(request.user, today), today=today)
    if form.is_bound and form.is_valid():
        run = start_suggestion(asked=form.asked(), by=request.user, at=timezone.now())
        return redirect("faults:rota", run.ref)
    status = 422 if form.errors else 200
    return render(request, "faults/rota/suggest.html", {"form": form}, status=status)


@page_for(Action.PLAN_JOBS)
def suggestion(request: SignedInRequest, ref: str) -> HttpResponse:
    """Where one suggestion stands: under way, without result, or the plan."""
    run = _run(request, ref)
    if goes_on(run):
        return progress_page(request, run, "faults/rota/progress.html")
    if run.state != RunState.DONE:
        return render(request, "faults/rota/failed.html", {"run": run})
    return render(request, "faults/rota/plan.html", _shown(run, request.user))


@page_for(Action.PLAN_JOBS)
def progress(request: SignedInRequest, ref: str) -> HttpResponse:
    """The progress fragment, polled every second; at the end the whole page is reloaded."""
    return progress_part(request, _run(request, ref), "faults/rota/_progress.html")


@page_for(Action.PLAN_JOBS)
@require_POST
def stop(request: SignedInRequest, ref: str) -> HttpResponse:
    """Stop planning; nothing was changed by it."""
    cancel_run(run=_run(request, ref), at=timezone.now())
    return redirect("faults:rota", ref)


@page_for(Action.PLAN_JOBS)
@require_POST
def take(request: SignedInRequest, ref: str) -> HttpResponse:
    """Give the ticked jobs their crews, days and times."""
    run = _run(request, ref)
    chosen = set(request.POST.getlist("job"))
    if run.state != RunState.DONE or not chosen:
        messages.error(request, _("Tick at least one job, then take it over."))
        return redirect("faults:rota", ref)
    taken = take_over(
        suggestion=run.result,
        chosen=chosen,
        by=request.user,
        at=timezone.now(),
        today=timezone.localdate(),
    )
    _say(request, taken)
    return redirect("faults:board") if not taken.refused else redirect("faults:rota", ref)


@page_for(Action.SEE_WORK)
def proposed_priority(request: SignedInRequest, ref: str) -> HttpResponse:
    """The fragment of a job's page that says which priority its waiting proposes."""
    job = the_job(request, ref, Action.SEE_WORK)
    context = {
        "job": job,
        "offer": proposals_of([job], today=today_at(job.property))[job.pk],
        "may_plan": may(request.user, Action.PLAN_JOBS, job.property),
    }
    return render(request, "faults/rota/_priority.html", context)


class JobPriority(JobView):
    """Take over the priority that is proposed for a job, or overrule it."""

    verb = set_job_priority
    form_class: ClassVar[type[forms.Form]] = PriorityForm
    heading, button = _l("Priority of this job"), _l("Set it")
    done = _l("The priority is set.")

    @cached_property
    def offer(self) -> Proposed:
        """What is proposed."""
        return proposals_of([self.row], today=self.today)[self.row.pk]

    def get_initial(self) -> dict[str, Any]:
        return {"priority": self.offer.priority}

    def get_lead(self) -> Text:
        words = {"priority": self.offer.priority, "why": self.offer.why, "now": self.row.priority}
        return _("Proposed is %(priority)s: %(why)s. It has %(now)s now.") % words


class JobAsProposed(JobPriority):
    """Take over the priority that is proposed, without a question: for many jobs at once."""

    form_class = forms.Form

    def arguments(self, data: dict[str, Any]) -> dict[str, Any]:
        return super().arguments({**data, "priority": self.offer.priority, "why": ""})


def _put_back(job: Job, kept: dict[str, Any], by: User) -> None:
    before, today = Stood.read(kept), today_at(job.property)
    why = _("taken back")
    set_job_priority(job=job, priority=before.priority, why=why, by=by, today=today, before=before)


class PriorityMany(ManyView[Job]):
    """Priorities that are ticked where they differ from what waiting proposes."""

    asks_for = Action.PLAN_JOBS
    list_page, many_page = "faults:priorities", "faults:priorities_many"
    acts = {
        "job_as_proposed": Act(
            JobAsProposed,
            button=_l("Take over"),
            heading=lambda n: (
                ngettext("Take over %(n)s priority?", "Take over %(n)s priorities?", n) % {"n": n}
            ),
            said=lambda n: (
                ngettext("%(n)s priority taken over.", "%(n)s priorities taken over.", n) % {"n": n}
            ),
            keep=lambda job: Stood.of(job).kept(),
            undo=_put_back,
        )
    }

    @classmethod
    def rows_for(cls, user: User, action: Action) -> QuerySet[Job]:
        return job_to_show(user, action)

    def matching(self, asked: QueryDict) -> QuerySet[Job]:
        del asked  # nothing can be filtered
        found = [each.job.pk for each in differing(self.request.user, at=timezone.now())]
        return job_to_show(self.request.user, Action.PLAN_JOBS).filter(pk__in=found).order_by("pk")

    @classmethod
    def named(cls, row: Job) -> Named[Job]:
        return Named(row, f"{row.property.code}: {job_name(row)}", job_url(row))


@page_for(Action.PLAN_JOBS)
def priorities(request: SignedInRequest) -> HttpResponse:
    """Jobs whose waiting proposes another priority than they have, to be taken over together."""
    rows = differing(request.user, at=timezone.now())
    page = Paginator(rows, A_PAGE).get_page(request.GET.get("page", "1"))
    refs = [each.job.ref for each in page.object_list]
    context = {
        "page": page,
        **acted_here(request),
        **ticking(PriorityMany, request.user, refs=refs, total=len(rows)),
    }
    return render(request, "faults/rota/priorities.html", context)


def _say(request: SignedInRequest, taken: Taken) -> None:
    if taken.done:
        words = ngettext(
            "%s job has its crew, day and time.",
            "%s jobs have their crews, days and times.",
            len(taken.done),
        )
        messages.success(request, words % len(taken.done))
    names: dict[str, list[str]] = {}
    for name, why in taken.refused:
        names.setdefault(why, []).append(name)
    for why, of in names.items():
        named = {"jobs": "; ".join(of), "why": why}
        messages.error(request, _("Not moved: %(jobs)s. %(why)s") % named)


def _run(request: SignedInRequest, ref: str) -> Run:
    """A suggestion is seen by the user who had it made."""
    return find(runs_for(request.user, SUGGEST), ref=ref)


def _shown(run: Run, user: User) -> dict[str, Any]:
    """Return the suggestion with its days as days and its minutes as times; what overtime costs
    is for those who may see it."""
    found, may_see_costs = run.result, may_see_crew_costs(user)
    routes = [
        {
            **route,
            "day": date.fromisoformat(route["day"]),
            "overtime": route_words(route, may_see_costs=may_see_costs),
            "stops": [
                {**stop, "at": f"{stop['minute'] // 60}:{stop['minute'] % 60:02}"}
                for stop in route["stops"]
            ],
        }
        for route in found["routes"]
    ]
    changes = sum(stop["change"] != "stays" for route in routes for stop in route["stops"])
    return {
        "run": run,
        "plan": {**found, "routes": routes},
        "may_see_costs": may_see_costs,
        "changes": changes,
        "moved": sum(stop["change"] == "moved" for route in routes for stop in route["stops"]),
        "saved": found["before"]["driving"] - found["after"]["driving"],
        "gap_percent": 100 * found["gap"],
        "keeping_min": KEEPING_MIN,
        "moving_min": MOVING_MIN,
        "unknown_min": UNKNOWN_DRIVE_MIN,
    }
