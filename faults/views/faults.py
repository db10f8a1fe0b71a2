"""Faults: the list, and one with its stations, breaks and moves."""

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from faults.access import faults_for
from faults.engines.stages import CLOSED, Stage
from faults.forms.filters import FaultFilter
from faults.models import STAGE_CHOICES
from faults.queries import breaks_of, faults_listed, moves_of, stations_of
from faults.tables import FaultTable
from sites.access import SignedInRequest, actions_on, find, may, page_for
from sites.engines.roles import Action
from sites.services.history import history_of
from sites.views.lists import list_page


@page_for(Action.SEE_FAULTS)
def faults(request: SignedInRequest) -> HttpResponse:
    """All faults, newest first."""
    return list_page(
        request,
        heading=_("Faults"),
        rows=faults_listed(request.user),
        filter_class=FaultFilter,
        table_class=FaultTable,
    )


@page_for(Action.SEE_FAULTS)
def fault(request: SignedInRequest, ref: str) -> HttpResponse:
    """One fault."""
    one = find(faults_for(request.user).select_related("property"), ref=ref)
    stage = Stage(one.stage)
    way = [choice for choice in STAGE_CHOICES if Stage(choice[0]) not in CLOSED - {Stage.RETURNED}]
    context = {
        "fault": one,
        "place": one.property,
        "may_here": actions_on(request.user, one.property),
        "stations": stations_of(one),
        "breaks": breaks_of(one),
        "moves": moves_of(one),
        "way": way if stage not in CLOSED - {Stage.RETURNED} else [],
    }
    if may(request.user, Action.SEE_HISTORY, one.property):
        context["history"] = history_of(one)
    return render(request, "faults/fault.html", context)
