"""Plan a job, change it, send a crew, split, withdraw: the office's verbs, a page each."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.functional import cached_property
from django.utils.translation import gettext_lazy as _

from faults.cases.engines.stages import CLOSED, Stage
from faults.cases.views.common import AboutFaultMixin, PlaceOrFaultView
from faults.events import SearchTime
from faults.models import JobKind
from faults.models.kind import kind_facts
from faults.work.forms.jobs import FactsForm, KindForm, PlanForm, SplitForm, WhyForm
from faults.work.queries.jobs import devices_due, devices_offered, open_stations_of
from faults.work.services import (
    bring_job_back,
    change_job,
    join_part,
    plan_job,
    split_job,
    withdraw_job,
)
from faults.work.services.defaults import facts_for, kind_for, search_time
from faults.work.services.told import facts_of
from faults.work.views.job_common import JobView, job_url
from sites.kernel.access import SignedInRequest, page_for, properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_views import Crumbs, Text

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


class JobAddOnProperty(PlaceOrFaultView):
    """Plan a job on this property."""

    verb = plan_job
    form_class = PlanForm
    heading, button = _("Plan a job: %s"), _("Plan this job")
    done = _("Planned. Assign it to a crew and a day, and somebody goes.")
    template_name = "faults/jobs/plan.html"

    @cached_property
    def kind(self) -> JobKind:
        """The kind that the address names, or the one that the fault asks for."""
        named = KindForm(self.request.GET)
        return JobKind(named.cleaned_data["kind"]) if named.is_valid() else kind_for(self.fault)

    @cached_property
    def search(self) -> SearchTime | None:
        """How long the search takes that this job is for."""
        return search_time(self.kind, self.fault, self.today)

    def get_form_kwargs(self) -> dict[str, object]:
        return {
            "place": self.row,
            "fault": self.fault,
            "opens_ground": kind_facts(self.kind.value).opens_ground,
            "facts": facts_for(self.kind, self.fault, self.search),
            "search": self.search,
            "rows": open_stations_of(self.fault) if self.fault else [],
            "devices": devices_offered(self.row),
            "due": devices_due(self.row, today=self.today)
            if self.kind == JobKind.BATTERIES
            else (),
        }

    def get_named(self) -> str:
        return f"{self.kind.label}, {self.fault or self.row}"

    def get_crumbs(self) -> Crumbs:
        return [
            (reverse("faults:jobs"), _("Jobs")),
            (reverse("reports:property", args=[self.row.ref]), self.row.code),
        ]

    def get_extra(self) -> dict[str, object]:
        return {"kinds": JobKind.choices, "kind": self.kind.value}

    def arguments(self, data: dict[str, object]) -> dict[str, object]:
        return {**super().arguments(data), "kind": self.kind}

    def get_after(self) -> str:
        return job_url(self.result)


class JobAddForFault(AboutFaultMixin, JobAddOnProperty):
    """Plan a job of this fault."""

    def get_crumbs(self) -> Crumbs:
        return [*super().get_crumbs(), (self.get_back(), str(self.fault))]

    def get_lead(self) -> Text:
        if Stage(self.fault.stage) in CLOSED:
            return _("This fault is closed. Open it again before a visit is planned.")
        return ""


class JobChange(JobView):
    """Change what a job needs."""

    verb = change_job
    heading, button = _("Change this job"), _("Change it")
    done = _("The job is changed.")
    template_name = "faults/verbs/form.html"

    def get_form(self) -> FactsForm:
        facts, digs = facts_of(self.row), self.row.digs()
        return FactsForm(self.posted, place=self.row.property, opens_ground=digs, facts=facts)

    def arguments(self, data: dict[str, Any]) -> dict[str, Any]:
        return {**super().arguments(data), "by": self.user}


class JobSplit(JobView):
    """Make two jobs of one; the minutes stay the same in all."""

    verb = split_job
    form_class = SplitForm
    heading, button = _("Split this job"), _("Split it")

    def get_lead(self) -> Text:
        return _("%s minutes are expected now.") % self.row.expected_minutes

    def get_done(self) -> Text:
        return _("Split: %(part)s minutes in the new part, %(rest)s here.") % {
            "part": self.result.expected_minutes,
            "rest": self.row.expected_minutes,
        }


class JobJoin(JobView):
    """Give the minutes of a part back to the job that it was split from."""

    verb = join_part
    heading, button = _("Join this part to its job again?"), _("Join it")

    def get_done(self) -> Text:
        return str(_("Joined: %s minutes in one job again.") % self.result.expected_minutes)


class JobWithdraw(JobView):
    """Withdraw the visit, with the reason."""

    verb = withdraw_job
    form_class = WhyForm
    heading, button = _("Withdraw this job"), _("Withdraw it")
    lead = _("Stations that only this visit was to go to are reported again, with the reason.")
    done = _("Withdrawn. It can be brought back.")


class JobBringBack(JobView):
    """Plan a withdrawn job again."""

    verb = bring_job_back
    heading, button = _("Bring this job back?"), _("Bring it back")
    done = _("The job is planned again. Assign it again.")
