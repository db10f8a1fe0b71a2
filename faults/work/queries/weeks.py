"""Reads of working weeks, and of the days on which people are away."""

from collections.abc import Collection
from datetime import date

from django.db.models import F, QuerySet

from faults.access import crews_for
from faults.models import Crew, CrewMember, PersonAway, WorkDay
from sites.kernel.engines.roles import Action
from sites.models import User

MOST_AWAY = 40


def week_of(*, crew: Crew | None = None, user: User | None = None) -> list[WorkDay]:
    """Return the weekdays of a crew or of a person, Monday first."""
    return list(WorkDay.objects.filter(crew=crew, user=user).order_by("weekday", "pk"))


def person_away_for(user: User, action: Action) -> QuerySet[PersonAway]:
    """Return the days away of people in crews on which the user has the action."""
    people = CrewMember.objects.filter(crew__in=crews_for(user, action)).values("user")
    return PersonAway.objects.filter(user__in=people).select_related("user")


def people_away(members: Collection[CrewMember], *, today: date) -> list[PersonAway]:
    """Return the days away of these people that are not over, those taken back left out."""
    people = {member.user_id for member in members}
    rows = PersonAway.objects.filter(user__in=people, to_on__gt=today).exclude(from_on=F("to_on"))
    return list(rows.select_related("user").order_by("from_on", "pk")[:MOST_AWAY])
