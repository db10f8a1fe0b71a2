"""Give a fault to a technician or tracer, and take it back."""

from typing import Any

from django.http import HttpResponse
from django.utils.translation import gettext as _

from faults.access import faults_for
from faults.cases.forms.assign import AssignForm, EndAssignmentForm
from faults.cases.services.assign import assign_fault, end_assignment
from faults.cases.views.common import crumbs_of, fault_url, posted, today_at
from faults.models import Fault
from sites.kernel.access import SignedInRequest, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verbs import VerbPage, verb_page


@page_for(Action.ASSIGN_FAULT)
def assign(request: SignedInRequest, ref: str) -> HttpResponse:
    """Assign a fault to a person."""
    fault = _fault(request, ref)
    form = AssignForm(posted(request), fault=fault, today=today_at(fault.property))

    def act(data: dict[str, Any]) -> str:
        assign_fault(fault=fault, who=form.person(), from_on=data["from_on"])
        return _("%(fault)s is assigned to %(who)s.") % {"fault": fault, "who": form.person()}

    page = VerbPage(
        heading=_("Assign %s") % fault,
        button=_("Assign it"),
        back=fault_url(fault),
        watched=[fault],
        act=act,
        crumbs=crumbs_of(fault),
        lead=_("A subcontracted tracer sees only the faults that are assigned."),
    )
    return verb_page(request, form, page)


@page_for(Action.ASSIGN_FAULT)
def unassign(request: SignedInRequest, ref: str) -> HttpResponse:
    """End an assignment of a fault."""
    fault = _fault(request, ref)
    form = EndAssignmentForm(posted(request), fault=fault, today=today_at(fault.property))

    def act(data: dict[str, Any]) -> str:
        end_assignment(assignment=form.chosen(), on=data["on"])
        return _("%s is no longer assigned.") % form.chosen().user

    page = VerbPage(
        heading=_("End an assignment of %s") % fault,
        button=_("End it"),
        back=fault_url(fault),
        watched=[fault],
        act=act,
        crumbs=crumbs_of(fault),
        lead="" if form.held else _("Nobody is assigned to this fault."),
    )
    return verb_page(request, form, page)


def _fault(request: SignedInRequest, ref: str) -> Fault:
    faults = faults_for(request.user, Action.ASSIGN_FAULT)
    return find(faults.select_related("property"), ref=ref)
