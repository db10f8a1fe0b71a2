"""When crews can work on the days that are planned, beside what is fixed already."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Q

from faults.access import crews_for, jobs_for
from faults.cases.engines.working import WorkingDay, on_working_clock
from faults.cases.services.working_days import (
    LOOKS_AHEAD_DAYS,
    Slot,
    minute_of,
    working_days,
)
from faults.models import Crew, Job, JobState
from faults.rota.engines.problem import Shift, ShiftKey
from faults.rota.services.drives import rounded_up
from sites.kernel.engines.roles import Action
from sites.models import User


@dataclass(frozen=True)
class Asked:
    """What a user wants planned.

    Args:
        may_move: whether jobs that have a crew and a day may get another; locked ones never do.
    """

    days: tuple[date, ...]
    crews: tuple[Crew, ...]
    may_move: bool


def busy_minutes(user: User, asked: Asked, now: datetime) -> dict[Slot, list[tuple[int, int]]]:
    """Return the minutes that crews are taken by what this user cannot plan: started or done
    visits, and jobs of others, by their times."""
    rows = Job.objects.filter(crew__in=asked.crews, day__in=asked.days)
    rows = rows.filter(state__in=[JobState.PLANNED, JobState.STARTED])
    mine = jobs_for(user, Action.PLAN_JOBS).filter(state=JobState.PLANNED)
    found: dict[Slot, list[tuple[int, int]]] = defaultdict(list)
    for job in rows.exclude(pk__in=mine.values("pk")):
        assert job.crew_id is not None
        assert job.day is not None
        if job.state == JobState.STARTED and job.started_at is not None:
            start = minute_of(job.started_at.astimezone(now.tzinfo).time())
        else:
            start = minute_of(job.starts_at) if job.starts_at else -1
        found[job.crew_id, job.day].append((start, job.expected_minutes))
    return found


def shifts_of(
    asked: Asked,
    busy: dict[Slot, list[tuple[int, int]]],
    working: Mapping[Slot, WorkingDay],
    now: datetime,
) -> list[Shift]:
    """Return the working times that are left; without place yet.

    Times are those of the crew's working clock, which stands still in its break. Today begins
    now, and no shift begins before a visit that is under way is expected to end.
    """
    found = []
    for number, crew in enumerate(asked.crews):
        for at, day in enumerate(asked.days):
            on = working[crew.pk, day]
            retired = crew.retired_on is not None and crew.retired_on <= day
            if retired or not on.is_worked:
                continue
            starts, ends = on.start, on_working_clock(on.end, on.rests)
            if day == now.date():
                soon = rounded_up(minute_of(now.time()) + 1)
                starts = max(starts, on_working_clock(soon, on.rests))
            for start, minutes in busy.get((crew.pk, day), []):
                # Without a time it may be at any hour: the shift is shorter by it.
                begins = on_working_clock(start, on.rests)
                starts = max(starts, begins + minutes) if start >= 0 else starts + minutes
            if starts < ends:
                key = ShiftKey(number, at)
                found.append(
                    Shift(
                        key,
                        starts,
                        ends,
                        on.skill,
                        0,
                        hands(on.people),
                        on.overtime,
                        on.overtime_percent,
                    )
                )
    return found


def hands(people: int) -> frozenset[str]:
    """Return what a crew of so many people brings, and what a job of so many needs.

    For the engine they are gear: who has three pairs of hands has two.
    """
    return frozenset(f"{number} people" for number in range(2, people + 1))


def next_working_days(crews: Sequence[Crew], today: date, count: int) -> list[date]:
    """Return the next days from tomorrow on which one of these crews works; at most a month on."""
    days = [today + timedelta(days=n) for n in range(1, LOOKS_AHEAD_DAYS + 1)]
    working = working_days(crews, days)
    worked = [day for day in days if any(working[crew.pk, day].is_worked for crew in crews)]
    return worked[:count]


def offered_crews(user: User, today: date) -> list[Crew]:
    """Return the crews that may be planned, by name."""
    stays = Q(retired_on__isnull=True) | Q(retired_on__gt=today)
    return list(crews_for(user).filter(stays).order_by("name", "pk"))
