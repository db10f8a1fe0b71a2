"""What the company's own finished faults, planned days and questions took, as of any day."""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from django.db.models import Q

from faults.cases.engines.stages import Stage
from faults.models import Asked, Fault, Job, JobState
from faults.promises.engines.promising import Habits

# What was longer ago says little of the coming weeks. Our own choice, no source.
SINCE_DAYS = 730


@dataclass(frozen=True)
class Finished:
    """One fault that is back, with the days on which somebody was there.

    Args:
        planned: on which day its first visit was given a day, and which; None where that is not
            known, or was entered afterwards.
    """

    fault: int
    reported_on: date
    closed_on: date
    visited_on: tuple[date, ...]
    planned: tuple[date, date] | None

    @property
    def gaps(self) -> list[int]:
        """Days between two visits."""
        return [(later - sooner).days for sooner, later in pairwise(self.visited_on)]


@dataclass(frozen=True)
class Past:
    """All that was recorded, each with the day since when it is known, the oldest first.

    Args:
        waits: of each fault its report, and the day of its first visit or else of its end; None
            while neither came.
    """

    finished: Sequence[Finished]
    waits: Sequence[tuple[date, date | None]]
    slips: Sequence[tuple[date, int]]
    answers: Sequence[tuple[date, int]]

    def before(self, day: date) -> Habits:
        """Return what was known at the start of this day, of the two years before it."""
        oldest = day - timedelta(days=SINCE_DAYS)
        days = [each.closed_on for each in self.finished]
        known = self.finished[bisect_left(days, oldest) : bisect_left(days, day)]
        return Habits(
            first=[(each.visited_on[0] - each.reported_on).days for each in known],
            slips=_between(self.slips, oldest, day),
            visits=[len(each.visited_on) for each in known],
            gaps=[gap for each in known for gap in each.gaps],
            tails=[(each.closed_on - each.visited_on[-1]).days for each in known],
            answers=_between(self.answers, oldest, day),
            unvisited=[
                (day - reported_on).days
                for reported_on, over_on in self.waits
                if oldest <= reported_on < day and (over_on is None or over_on >= day)
            ],
        )


def _between(rows: Sequence[tuple[date, int]], oldest: date, day: date) -> list[int]:
    days = [known_on for known_on, _days in rows]
    return [took for _known_on, took in rows[bisect_left(days, oldest) : bisect_left(days, day)]]


@dataclass(frozen=True)
class _Visit:
    """A finished visit: its day, and when it was given which day first, if that is known."""

    on: date
    planned: tuple[date, date] | None

    @property
    def slipped(self) -> int | None:
        return max(0, (self.on - self.planned[1]).days) if self.planned else None


def past_since(since: date) -> Past:
    """Read what was finished since a day, in five queries; a fault without a visit says nothing of
    how long visits take."""
    made = _visits(since)
    finished, waits = [], []
    recent = Fault.objects.filter(Q(closed_on=None) | Q(closed_on__gte=since))
    for key, stage, reported_on, closed_on in recent.values_list(
        "pk", "stage", "reported_on", "closed_on"
    ):
        last = closed_on or date.max
        visits = [each for each in made.get(key, []) if reported_on <= each.on <= last]
        waits.append((reported_on, visits[0].on if visits else closed_on))
        if visits and closed_on is not None and stage == Stage.RETURNED:
            days = tuple(each.on for each in visits)
            planned = visits[0].planned
            is_before = planned is not None and reported_on <= planned[0] <= days[0]
            finished.append(
                Finished(key, reported_on, closed_on, days, planned if is_before else None)
            )
    finished.sort(key=lambda each: (each.closed_on, each.fault))
    slips = [
        (each.on, each.slipped)
        for visits in made.values()
        for each in visits
        if each.slipped is not None
    ]
    return Past(finished, waits, sorted(slips), _answers(since))


def _answers(since: date) -> list[tuple[date, int]]:
    asked = Asked.objects.filter(asked_on__gte=since).exclude(answered_on=None)
    return sorted(
        (answered, (answered - day).days)
        for day, answered in asked.values_list("asked_on", "answered_on")
        if answered is not None
    )


def _visits(since: date) -> dict[int, list[_Visit]]:
    """Return the finished visits of each fault, the first first."""
    planned: dict[int, tuple[datetime, date]] = {}
    old = Job.history.filter(day__isnull=False, history_date__date__gte=since)
    rows = old.order_by("history_date", "history_id").values_list("id", "history_date", "day")
    for key, moment, day in rows:
        planned.setdefault(key, (moment, day))
    made: dict[int, list[_Visit]] = defaultdict(list)
    done = Job.objects.filter(state=JobState.DONE, ended_at__date__gte=since).exclude(fault=None)
    for job in done.select_related("property").order_by("pk"):
        first, zone = planned.get(job.pk), ZoneInfo(job.property.time_zone)
        when = (first[0].astimezone(zone).date(), first[1]) if first else None
        assert job.fault_id is not None  # filtered by it
        made[job.fault_id].append(_Visit(made_on(job), when))
    for visits in made.values():
        visits.sort(key=lambda each: each.on)
    return made


def made_on(job: Job) -> date:
    """Return the day on which a finished job ended, at its property."""
    assert job.ended_at is not None
    return job.ended_at.astimezone(ZoneInfo(job.property.time_zone)).date()
