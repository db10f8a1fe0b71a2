"""What speaks against a crew and day that were chosen: warnings, each with what to do."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from django.db.models import F
from django.utils.translation import gettext as _

from faults.cases.engines.working import Off, WorkingDay
from faults.cases.services.working_days import absent_words, minute_of, off_words, working_days
from faults.models import CLOSED_STAGES, OPEN_JOB_STATES, Crew, Job
from faults.models.job import JobState
from faults.work.engines.arriving import Arrival
from faults.work.queries.board import minutes_on
from faults.work.services.arriving import arrival_words, arrivals, is_kept
from faults.work.services.could_take import could_take, could_take_words, hours_text
from faults.work.services.forerunners import forerunners, too_soon_words
from faults.work.services.rules import clock


@dataclass(frozen=True)
class CrewDay:
    """One crew on one day: all that is planned, when it works, and who could go instead."""

    crew: Crew
    planned: list[Job]
    on: WorkingDay
    others: "Others"


@dataclass(frozen=True)
class Others:
    """The crews in use, with when they work and what they have on the days of some jobs."""

    crews: list[Crew]
    working: dict[tuple[int, date], WorkingDay]
    planned: dict[tuple[int, date], int]

    def words(self, job: Job) -> str:
        """Return who could take a job on its day."""
        assert job.day is not None
        given = {"crews": self.crews, "working": self.working, "planned": self.planned}
        return could_take_words(could_take(job, job.day, **given))  # type: ignore[arg-type]


def clashes_of(jobs: Iterable[Job], *, today: date) -> dict[int, list[str]]:
    """Return the warnings of each open job by its key, in as many queries for many as for few.

    Jobs come with their fault loaded.
    """
    rows = [job for job in jobs if job.state in OPEN_JOB_STATES]
    days = _crew_days({job.crew_id for job in rows}, {job.day for job in rows})
    promised, firsts = arrivals(rows, today=today), forerunners(rows)
    found = {}
    for job in rows:
        on = days.get((job.crew_id, job.day))
        found[job.pk] = [
            *_clashes(job, on, today),
            *_of_promise(job, on, promised.get(job.pk)),
            *too_soon_words(job, firsts.get(job.pk, ())),
        ]
    return found


def _of_promise(job: Job, on: CrewDay | None, arrival: Arrival | None) -> Iterable[str]:
    """What the caller was told otherwise; without a day nothing is."""
    if job.day is not None and not is_kept(
        arrival, job, job.day, job.starts_at, on.on if on else None
    ):
        yield (
            _("Somebody was %(promised)s. Choose that, or tell the caller another time.")
            % {"promised": arrival_words(job.fault)}
        )


def _crew_days(
    crews: set[int | None], days: set[date | None]
) -> dict[tuple[int | None, date | None], CrewDay]:
    busy = Job.objects.open().filter(crew__in=crews - {None}, day__in=days - {None})
    rows = busy.select_related("property", "crew")
    ordered = list(rows.order_by("crew", "day", F("starts_at").asc(nulls_last=True), "pk"))
    if not ordered:
        return {}
    wanted = {job.day for job in ordered if job.day is not None}
    every = list(Crew.objects.order_by("name", "pk"))
    totals = minutes_on(every, sorted(wanted))
    others = Others(every, working_days(every, wanted), totals)
    found: dict[tuple[int | None, date | None], CrewDay] = {}
    for (crew, day), group in groupby(ordered, key=lambda job: (job.crew_id, job.day)):
        planned = list(group)
        assert planned[0].crew is not None
        assert crew is not None
        assert day is not None
        found[crew, day] = CrewDay(planned[0].crew, planned, others.working[crew, day], others)
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
    against_crew = list(_of_crew(job, on, job.day))
    yield from against_crew
    if against_crew:
        yield on.others.words(job)
    if on.on.off is None:
        yield from _of_hours(job, on)


def _of_crew(job: Job, on: CrewDay, day: date) -> Iterable[str]:
    words = {"crew": on.crew, "needed": job.skill_needed, "held": on.on.skill}
    if on.crew.retired_on is not None and on.crew.retired_on <= day:
        yield _("%s is retired then. Move the job.") % on.crew
    if on.on.off is Off.AWAY:
        yield _("%s is away on that day. Move the job.") % on.crew
    elif on.on.off is not None:
        words["words"] = off_words(on.on, day)
        yield _("%(crew)s does not work then: %(words)s. Move the job.") % words
    missing = absent_words(on.on)
    beside = " " + _("Not there: %s.") % missing if missing else ""
    if on.on.skill == 0:
        told = _("Nobody is in %s on that day. Put somebody in it, or move the job.") % on.crew
        yield told + beside
    elif on.on.skill < job.skill_needed:
        yield (
            _("It needs skill %(needed)s; the best in %(crew)s that day is %(held)s.") % words
            + beside
        )
    if 0 < on.on.people < job.people_needed:
        words |= {"needed": job.people_needed, "held": on.on.people}
        yield _("It takes %(needed)s people; %(held)s of %(crew)s are there.") % words + beside


def _of_hours(job: Job, on: CrewDay) -> Iterable[str]:
    total = sum(each.expected_minutes for each in on.planned)
    if total > on.on.most_minutes:
        yield _("%(total)s h are planned for %(crew)s that day, which has %(hours)s h.") % {
            "total": hours_text(total),
            "crew": on.crew,
            "hours": hours_text(on.on.most_minutes),
        }
    if job.starts_at is None:
        return
    start = minute_of(job.starts_at)
    end = on.on.end_of(start, job.expected_minutes)
    if not on.on.holds(start, job.expected_minutes):
        yield _("It lies outside the crew's hours, %(start)s to %(end)s.") % {
            "start": clock(on.on.start),
            "end": clock(on.on.latest),
        }
    for other in on.planned:
        if other.pk != job.pk and other.starts_at is not None:
            begins = minute_of(other.starts_at)
            if begins < end and start < on.on.end_of(begins, other.expected_minutes):
                yield _("It overlaps with %(job)s at %(start)s.") % {
                    "job": other,
                    "start": other.starts_at.strftime("%H:%M"),
                }
