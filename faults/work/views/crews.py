"""Crews: the list, one with its people and days, and the verbs that set them up."""

from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.access import crews_for
from faults.cases.views.common import posted
from faults.models import Crew
from faults.work.forms.crews import CrewForm, OnForm
from faults.work.queries.jobs import away_of, coming_jobs_of, crews_listed, members_of
from faults.work.services.clashes import clashes_of
from faults.work.services.crews import add_crew, bring_crew_back, change_crew, retire_crew
from sites.kernel.access import SignedInRequest, find, may_everywhere, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.history import history_of
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.register.forms.photos import AskForm


@page_for(Action.SEE_WORK)
def crews(request: SignedInRequest) -> HttpResponse:
    """All crews with who goes with them today."""
    today = timezone.localdate()
    rows = crews_listed(request.user, on=today)
    members = members_of(rows)
    context = {
        "rows": [
            (crew, [m for m in members[crew.pk] if m.from_on <= today < (m.to_on or today.max)])
            for crew in rows
        ],
        "may_set_up": may_everywhere(request.user, Action.SET_UP_WORK),
    }
    return render(request, "faults/crews/crews.html", context)


@page_for(Action.SEE_WORK)
def crew(request: SignedInRequest, ref: str) -> HttpResponse:
    """One crew: its people with their skill, its days away, what it has to do."""
    one = find(crews_for(request.user), ref=ref)
    today = timezone.localdate()
    coming = coming_jobs_of(request.user, one, today=today)
    clashes = clashes_of(coming, today=today)
    context = {
        "crew": one,
        "today": today,
        "members": members_of([one])[one.pk],
        "away": away_of(one),
        "coming": [(job, clashes.get(job.pk, [])) for job in coming],
        "may_set_up": may_everywhere(request.user, Action.SET_UP_WORK),
    }
    if may_everywhere(request.user, Action.SEE_HISTORY):
        context["history"] = history_of(one)
    return render(request, "faults/crews/crew.html", context)


def crew_url(one: Crew) -> str:
    """Return the address of a crew's page."""
    return reverse("faults:crew", args=[one.ref])


def the_crew(request: SignedInRequest, ref: str) -> Crew:
    """Return the crew that the user may set up, or 404."""
    return find(crews_for(request.user, Action.SET_UP_WORK), ref=ref)


def ask(
    request: SignedInRequest,
    one: Crew,
    form: forms.BaseForm,
    act: Any,
    heading: str,
    button: str,
    **page: Any,
) -> HttpResponse:
    """Show the form of a verb on a crew, or act on it."""
    crumbs = [(reverse("faults:crews"), _("Crews")), (crew_url(one), str(one))]
    told = {"watched": [one], "back": crew_url(one), "crumbs": crumbs, **page}
    return verb_page(request, form, VerbPage(heading=heading, button=button, act=act, **told))


@page_for(Action.SET_UP_WORK)
def crew_add(request: SignedInRequest) -> HttpResponse:
    """Add a crew. It serves every client, so only a role that holds everywhere may."""
    if not may_everywhere(request.user, Action.SET_UP_WORK):
        find(crews_for(request.user, Action.SET_UP_WORK))
    form = CrewForm(posted(request))
    added: list[Crew] = []

    def act(_data: dict[str, Any]) -> str:
        added.append(add_crew(facts=form.facts()))
        return _("%s is added. Now say who goes with it.") % added[0]

    back = reverse("faults:crews")
    page = VerbPage(
        heading=_("Add a crew"),
        button=_("Add it"),
        back=back,
        watched=[],
        act=act,
        crumbs=[(back, _("Crews"))],
        after=lambda: crew_url(added[0]),
    )
    return verb_page(request, form, page)


@page_for(Action.SET_UP_WORK)
def crew_change(request: SignedInRequest, ref: str) -> HttpResponse:
    """Change name, vehicle, hours or yard."""
    one = the_crew(request, ref)
    form = CrewForm(posted(request), crew=one)

    def act(_data: dict[str, Any]) -> str:
        change_crew(crew=one, facts=form.facts())
        return _("The crew is changed.")

    return ask(request, one, form, act, _("Change %s") % one, _("Change it"))


@page_for(Action.SET_UP_WORK)
def crew_retire(request: SignedInRequest, ref: str) -> HttpResponse:
    """Retire a crew from a day on."""
    one = the_crew(request, ref)

    def act(data: dict[str, Any]) -> str:
        retire_crew(crew=one, on=data["on"])
        return _("%s is retired. It can be brought back.") % one

    form = OnForm(posted(request), today=timezone.localdate())
    return ask(request, one, form, act, _("Retire %s") % one, _("Retire it"))


@page_for(Action.SET_UP_WORK)
def crew_bring_back(request: SignedInRequest, ref: str) -> HttpResponse:
    """Bring a retired crew back."""
    one = the_crew(request, ref)

    def act(_data: dict[str, Any]) -> str:
        bring_crew_back(crew=one)
        return _("%s can be sent again.") % one

    form = AskForm(posted(request))
    return ask(request, one, form, act, _("Bring %s back?") % one, _("Bring it back"))
