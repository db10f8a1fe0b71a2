"""Reads of who was there, and of whom to choose from."""

from collections.abc import Collection
from datetime import date

from django.db.models import QuerySet

from faults.access import jobs_for
from faults.models import CrewMember, Job, PersonThere
from faults.work.queries.jobs import people_for_crews
from sites.kernel.engines.roles import Action
from sites.models import User


def people_there(job: Job) -> list[PersonThere]:
    """Return who was there, struck ones too, in the order in which they came."""
    return list(job.people.order_by("from_at", "name", "pk")[:200])


def people_there_for(user: User, action: Action) -> QuerySet[PersonThere]:
    """Return the rows on whose job the user has the action."""
    rows = PersonThere.objects.filter(job__in=jobs_for(user, action))
    return rows.select_related("job__property", "job__fault", "user")


def people_of_crew(job: Job, day: date) -> list[User]:
    """Return who is in the job's crew on a day."""
    if job.crew_id is None:
        return []
    members = CrewMember.objects.on(day).filter(crew=job.crew_id).select_related("user")
    found = (member.user for member in members.order_by("user__username", "pk"))
    return list(dict.fromkeys(found))


def people_offered(besides: Collection[User]) -> list[User]:
    """Return everybody else who can go with a crew."""
    return list(people_for_crews().exclude(pk__in=[user.pk for user in besides]))


def with_sender(crew: list[User], by: User) -> list[User]:
    """Return whom a phone may name: the crew of the day, and who enters it."""
    return crew if by in crew else [*crew, by]
