"""What speaks against a crew and day that were chosen: warnings, each with what to do."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, time
from itertools import groupby
from typing import Any

from django.db.models import Exists, F, OuterRef, Q, QuerySet, Subquery
from django.utils.translation import gettext as _

from faults.models import CLOSED_STAGES, OPEN_JOB_STATES, Crew, CrewAway, CrewMember, Job
from faults.models.job import JobState

Slot = tuple[int | None, date | None]


@dataclass(frozen=True)
class CrewDay:
    """One crew on one day: all that is planned, the best skill in it, and whether it is away."""

    crew: Crew
    planned: list[Job]
    skill: int
    is_away: bool


def clashes_of(jobs: Iterable[Job], *, today: date) -> dict[int, list[str]]:
    """Return the warnings of each open job by its key, in one query for any number of jobs.

    Jobs come with their fault loaded.
    """
    rows = [job for job in jobs if job.state in OPEN_JOB_STATES]
    days = _crew_days({job.crew_id for job in rows}, {job.day for job in rows})
    return {job.pk: list(_clashes(job, days.get((job.crew_id, job.day)), today)) for job in rows}


def _crew_days(crews: set[int | None], days: set[date | None]) -> dict[Slot, CrewDay]:
    busy = Job.objects.open().filter(crew__in=crews - {None}, day__in=days - {None})
    on_that_day = Q(crew=OuterRef("crew"), from_on__lte=OuterRef("day"))
    still = Q(to_on__isnull=True) | Q(to_on__gt=OuterRef("day"))
    members: QuerySet[CrewMember] = CrewMember.objects.filter(on_that_day & still)
    away = CrewAway.objects.filter(on_that_day, to_on__gt=OuterRef("day"))
    rows = busy.select_related("property", "crew").annotate(
        best_skill=Subquery(members.order_by("-skill", "pk").values("skill")[:1]),
        is_away=Exists(away),
    )
    ordered = rows.order_by("crew", "day", F("starts_at").asc(nulls_last=True), "pk")
    found: dict[Slot, CrewDay] = {}
    for slot, group in groupby(ordered, key=lambda job: (job.crew_id, job.day)):
        planned = list(group)
        first = planned[0]
        assert first.crew is not None
        # The two that the query adds, which the type of a job does not know.
        told: dict[str, Any] = vars(first)
        found[slot] = CrewDay(first.crew, planned, told["best_skill"] or 0, told["is_away"])
    return found


def _clashes(job: Job, on: CrewDay | None, today: date) -> Iterable[str]:
    if job.fault is not None and job.fault.stage in CLOSED_STAGES:
        yield _("Its fault is closed. Withdraw this job, unless somebody must go all the same.")
    if on is None or job.day is None:
        if job.due_on is not None and job.due_on < today:
            yield _("It was due by %s and nobody has it.") % job.due_on.isoformat()
        return
    if job.day < today and job.state == JobState.PLANNED:
        yield _("Its day is over and nobody has started. Move it.")
    if job.due_on is not None and job.day > job.due_on:
        yield _("It was due by %s.") % job.due_on.isoformat()
    if job.earliest_on is not None and job.day < job.earliest_on:
        yield _("It was not to go before %s.") % job.earliest_on.isoformat()
    yield from _of_crew(job, on, job.day)
    yield from _of_hours(job, on.crew, on.planned)


def _of_crew(job: Job, on: CrewDay, day: date) -> Iterable[str]:
    if on.crew.retired_on is not None and on.crew.retired_on <= day:
        yield _("%s is retired then. Move the job.") % on.crew
    if on.is_away:
        yield _("%s is away on that day. Move the job.") % on.crew
    if on.skill == 0:
        yield _("Nobody is in %s on that day. Put somebody in it, or move the job.") % on.crew
    elif on.skill < job.skill_needed:
        yield _("It needs skill %(needed)s; the best in %(crew)s that day is %(held)s.") % {
            "needed": job.skill_needed,
            "crew": on.crew,
            "held": on.skill,
        }


def _of_hours(job: Job, crew: Crew, planned: list[Job]) -> Iterable[str]:
    hours = _minute(crew.ends_at) - _minute(crew.starts_at)
    total = sum(each.expected_minutes for each in planned)
    if total > hours:
        yield _("%(total)s minutes are planned for %(crew)s that day, which has %(hours)s.") % {
            "total": total,
            "crew": crew,
            "hours": hours,
        }
    if job.starts_at is None:
        return
    start = _minute(job.starts_at)
    end = start + job.expected_minutes
    if start < _minute(crew.starts_at) or end > _minute(crew.ends_at):
        yield _("It lies outside the crew's hours, %(start)s to %(end)s.") % {
            "start": crew.starts_at.strftime("%H:%M"),
            "end": crew.ends_at.strftime("%H:%M"),
        }
    for other in planned:
        if other.pk != job.pk and other.starts_at is not None:
            begins = _minute(other.starts_at)
            if begins < end and start < begins + other.expected_minutes:
                yield _("It overlaps with %(job)s at %(start)s.") % {
                    "job": other,
                    "start": other.starts_at.strftime("%H:%M"),
                }


def _minute(moment: time) -> int:
    return moment.hour * 60 + moment.minute
