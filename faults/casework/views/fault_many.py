"""What may be done to many faults at once: plan a visit for each, assign a person, a file."""

from dataclasses import replace
from typing import Any

from django.db.models import Model, QuerySet
from django.http import QueryDict
from django.utils import timezone
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from faults.access import faults_for
from faults.cases.forms.filters import FaultFilter
from faults.cases.queries import assignment_of_key, faults_listed
from faults.cases.services.assign import end_assignment
from faults.cases.views.assign import Assign
from faults.cases.views.common import FaultView, fault_url
from faults.casework.forms import AssignManyForm, PlanManyForm
from faults.models import Fault
from faults.work.queries.jobs import has_open_job, job_of_key, open_stations_of
from faults.work.services import plan_job, withdraw_job
from faults.work.services.defaults import facts_for, kind_for
from faults.work.services.told import UnableToPlan
from sites.kernel.engines.roles import Action
from sites.kernel.services.many import Named
from sites.kernel.views.acts import Act, Look
from sites.kernel.views.many import ManyView
from sites.kernel.views.verb_views import VerbView
from sites.models import User, today_at


class PlanVisit(FaultView):
    """Plan what a fault's own page proposes, where nothing is planned for it yet."""

    verb = plan_job

    def arguments(self, data: dict[str, Any]) -> dict[str, Any]:
        fault = self.row
        if has_open_job(fault):
            raise UnableToPlan(_now("A visit is planned for it already."))
        kind = kind_for(fault)
        return {
            "place": fault.property,
            "kind": kind.value,
            "facts": replace(facts_for(kind, fault), **data),
            "fault": fault,
            "stations": [each.station for each in open_stations_of(fault)],
            "by": self.user,
            "today": self.today,
        }


def the_job_of(page: VerbView[Any]) -> dict[str, Any]:
    """Return what the undo of a planned visit needs."""
    return {"job": page.result.pk}


def withdraw_of(_row: Model, kept: dict[str, Any], by: User) -> None:
    """Withdraw the visit that was planned."""
    job = job_of_key(kept["job"])
    if job is None:
        return  # nothing is planned any more
    today = today_at(job.property)
    withdraw_job(job=job, why=_now("taken back"), by=by, at=timezone.now(), today=today)


def _assignment(page: VerbView[Any]) -> dict[str, Any]:
    return {"assignment": page.result.pk}


def _end(fault: Fault, kept: dict[str, Any], _by: User) -> None:
    assignment = assignment_of_key(kept["assignment"])
    if assignment is not None:
        end_assignment(assignment=assignment, on=today_at(fault.property))


class FaultMany(ManyView[Fault]):
    """Faults that are ticked in their list."""

    asks_for = Action.SEE_FAULTS
    list_page, many_page = "faults:faults", "faults:fault_many"
    acts = {
        "fault_plan": Act(
            PlanVisit,
            button=_("Plan a visit"),
            heading=lambda n: (
                ngettext("Plan a visit for %(n)s fault", "Plan a visit for %(n)s faults", n)
                % {"n": n}
            ),
            said=lambda n: ngettext("%(n)s visit planned.", "%(n)s visits planned.", n) % {"n": n},
            made=the_job_of,
            undo=withdraw_of,
            form_class=PlanManyForm,
        ),
        "fault_assign": Act(
            Assign,
            button=_("Assign"),
            heading=lambda n: ngettext("Assign %(n)s fault", "Assign %(n)s faults", n) % {"n": n},
            said=lambda n: (
                ngettext("%(n)s fault assigned.", "%(n)s faults assigned.", n) % {"n": n}
            ),
            made=_assignment,
            undo=_end,
            form_class=AssignManyForm,
        ),
    }
    looks = {"fault_csv": Look("CSV", "faults:faults", {"export": "csv"})}

    @classmethod
    def rows_for(cls, user: User, action: Action) -> QuerySet[Fault]:
        return faults_for(user, action).select_related("property")

    def matching(self, asked: QueryDict) -> QuerySet[Fault]:
        found: QuerySet[Fault] = FaultFilter(asked, queryset=faults_listed(self.request.user)).qs
        return found.order_by("-reported_on", "pk")

    @classmethod
    def named(cls, row: Fault) -> Named[Fault]:
        return Named(row, f"{row.property.code}: {row}", fault_url(row))
