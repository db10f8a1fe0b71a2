"""Who goes with a crew, with which skill, and the days on which it does not work."""

from typing import Any

from django.http import HttpResponse
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.cases.views.common import posted
from faults.models import CrewAway, CrewMember
from faults.work.forms.crews import AwayForm, CorrectMemberForm, MemberForm, OnForm, SkillForm
from faults.work.queries.jobs import away_for, members_for, people_for_crews
from faults.work.services.crews import (
    add_away,
    add_member,
    change_skill,
    correct_away,
    correct_member,
    end_member,
    take_back_away,
)
from faults.work.views.crews import ask, the_crew
from sites.kernel.access import SignedInRequest, find, page_for
from sites.kernel.engines.roles import Action
from sites.register.forms.photos import AskForm


@page_for(Action.SET_UP_WORK)
def member_add(request: SignedInRequest, ref: str) -> HttpResponse:
    """Add a person to a crew."""
    crew = the_crew(request, ref)
    people, today = people_for_crews(), timezone.localdate()
    form = MemberForm(posted(request), people=people, today=today)

    def act(data: dict[str, Any]) -> str:
        add_member(crew=crew, **data)
        return _("%(who)s goes with %(crew)s.") % {"who": data["user"], "crew": crew}

    heading, button = _("Put somebody in %s") % crew, _("Put in")
    return ask(request, crew, form, act, heading, button, watched=[])


def _member(request: SignedInRequest, pk: int) -> CrewMember:
    return find(members_for(request.user, Action.SET_UP_WORK), pk=pk)


@page_for(Action.SET_UP_WORK)
def member_end(request: SignedInRequest, pk: int) -> HttpResponse:
    """Take a person out of a crew."""
    member = _member(request, pk)

    def act(data: dict[str, Any]) -> str:
        end_member(member=member, on=data["on"])
        return _("%s no longer goes with this crew from that day on.") % member.user

    form = OnForm(posted(request), today=timezone.localdate())
    heading = _("Take %s out") % member.user
    return ask(request, member.crew, form, act, heading, _("Take out"), watched=[member])


@page_for(Action.SET_UP_WORK)
def member_skill(request: SignedInRequest, pk: int) -> HttpResponse:
    """Change a member's skill from a day on."""
    member = _member(request, pk)
    form = SkillForm(posted(request), member=member, today=timezone.localdate())

    def act(data: dict[str, Any]) -> str:
        change_skill(member=member, **data)
        return _("The skill is changed from that day on.")

    heading = _("Change the skill of %s") % member.user
    return ask(request, member.crew, form, act, heading, _("Change it"), watched=[member])


@page_for(Action.SET_UP_WORK)
def member_correct(request: SignedInRequest, pk: int) -> HttpResponse:
    """Correct the skill or the days of a member of a crew."""
    member = _member(request, pk)
    form = CorrectMemberForm(posted(request), member=member)

    def act(data: dict[str, Any]) -> str:
        correct_member(member=member, **data)
        return _("Corrected. History keeps what was there before.")

    heading = _("Correct what stands about %s") % member.user
    return ask(request, member.crew, form, act, heading, _("Correct it"), watched=[member])


@page_for(Action.SET_UP_WORK)
def away_add(request: SignedInRequest, ref: str) -> HttpResponse:
    """Say on which days a crew does not work."""
    crew = the_crew(request, ref)
    form = AwayForm(posted(request), today=timezone.localdate())

    def act(_data: dict[str, Any]) -> str:
        add_away(crew=crew, **form.told())
        return _("Kept. Jobs that were assigned for those days show a clash: move them.")

    heading, button = _("Days on which %s is away") % crew, _("Keep them")
    return ask(request, crew, form, act, heading, button, watched=[])


def _away(request: SignedInRequest, pk: int) -> CrewAway:
    return find(away_for(request.user, Action.SET_UP_WORK), pk=pk)


@page_for(Action.SET_UP_WORK)
def away_correct(request: SignedInRequest, pk: int) -> HttpResponse:
    """Correct the days away."""
    away = _away(request, pk)
    form = AwayForm(posted(request), today=timezone.localdate(), away=away)

    def act(_data: dict[str, Any]) -> str:
        correct_away(away=away, **form.told())
        return _("Corrected. History keeps what was there before.")

    heading, button = _("Correct days away"), _("Correct them")
    return ask(request, away.crew, form, act, heading, button, watched=[away])


@page_for(Action.SET_UP_WORK)
def away_take_back(request: SignedInRequest, pk: int) -> HttpResponse:
    """Take back that the crew is away."""
    away = _away(request, pk)

    def act(_data: dict[str, Any]) -> str:
        take_back_away(away=away)
        return _("The crew works on those days.")

    form = AskForm(posted(request))
    heading, button = _("Does the crew work on those days after all?"), _("It works")
    return ask(request, away.crew, form, act, heading, button, watched=[away])
