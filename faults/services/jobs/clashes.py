"""What speaks against a crew and day that were chosen: warnings, each with what to do."""

from collections.abc import Iterable
from datetime import date, datetime, time
from itertools import groupby

from django.utils.translation import gettext as _

from faults.models import CLOSED_STAGES, OPEN_JOB_STATES, Crew, CrewAway, CrewMember, Job
from faults.models.job import JobState

Slot = tuple[int, date]


def clashes_of(jobs: Iterable[Job], *, today: date) -> dict[int, list[str]]:
    """Return the warnings of each open job by its key, in four queries for any number of jobs."""
    rows = [job for job in jobs if job.state in OPEN_JOB_STATES]
    crews = {job.crew_id for job in rows if job.crew_id and job.day}
    days = {job.day for job in rows if job.crew_id and job.day}
    known = Known(crews, days)
    return {job.pk: list(_clashes(job, known, today)) for job in rows}


class Known:
    """The crews of some jobs on their days: members, days away, and all that is planned then."""

    def __init__(self, crews: set[int], days: set[date]) -> None:
        self.crews = {crew.pk: crew for crew in Crew.objects.filter(pk__in=crews)}
        members = CrewMember.objects.filter(crew__in=crews).order_by("pk")
        self.members = list(members)
        self.away = list(CrewAway.objects.filter(crew__in=crews).order_by("from_on", "pk"))
        busy = Job.objects.open().filter(crew__in=crews, day__in=days)
        ordered = busy.select_related("property").order_by("crew", "day", "starts_at", "pk")
        self.planned: dict[Slot, list[Job]] = {
            (slot[0], slot[1]): list(group)
            for slot, group in groupby(ordered, key=lambda job: (job.crew_id, job.day))
            if slot[0] is not None and slot[1] is not None
        }

    def skill_on(self, crew_id: int, day: date) -> int:
        """Return the best skill in the crew on a day; 0 where nobody goes."""
        held = (
            member.skill
            for member in self.members
            if member.crew_id == crew_id
            and member.from_on <= day
            and (member.to_on is None or member.to_on > day)
        )
        return max(held, default=0)

    def is_away(self, crew_id: int, day: date) -> bool:
        """Whether the crew does not work on a day."""
        return any(
            away.crew_id == crew_id and away.from_on <= day < away.to_on for away in self.away
        )


def _clashes(job: Job, known: Known, today: date) -> Iterable[str]:
    if job.fault is not None and job.fault.stage in CLOSED_STAGES:
        yield _("Its fault is closed. Withdraw this job, unless somebody must go all the same.")
    if job.crew_id is None or job.day is None:
        if job.due_on is not None and job.due_on < today:
            yield _("It was due by %s and nobody has it.") % job.due_on.isoformat()
        return
    if job.day < today and job.state == JobState.PLANNED:
        yield _("Its day is over and nobody has started. Move it.")
    if job.due_on is not None and job.day > job.due_on:
        yield _("It was due by %s.") % job.due_on.isoformat()
    if job.earliest_on is not None and job.day < job.earliest_on:
        yield _("It was not to go before %s.") % job.earliest_on.isoformat()
    yield from _of_crew(job, known, known.crews[job.crew_id], job.day)


def _of_crew(job: Job, known: Known, crew: Crew, day: date) -> Iterable[str]:
    if crew.retired_on is not None and crew.retired_on <= day:
        yield _("%s is retired then. Move the job.") % crew
    if known.is_away(crew.pk, day):
        yield _("%s is away on that day. Move the job.") % crew
    skill = known.skill_on(crew.pk, day)
    if skill == 0:
        yield _("Nobody is in %s on that day. Put somebody in it, or move the job.") % crew
    elif skill < job.skill_needed:
        yield _("It needs skill %(needed)s; the best in %(crew)s that day is %(held)s.") % {
            "needed": job.skill_needed,
            "crew": crew,
            "held": skill,
        }
    yield from _of_hours(job, crew, known.planned.get((crew.pk, day), [job]))


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


def _minute(moment: time | datetime) -> int:
    return moment.hour * 60 + moment.minute
