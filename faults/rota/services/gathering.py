"""What the engine is asked for: crews, days and jobs as they stand, as a problem to plan."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime

from django.db.models import Q

from faults.access import jobs_for
from faults.cases.engines.working import Off, WorkingDay, on_working_clock, start_by_day
from faults.cases.services.working_days import (
    Slot,
    minute_of,
    working_days,
)
from faults.models import Crew, Job, JobState
from faults.rota.engines.instance import PENALTY_MIN
from faults.rota.engines.problem import Problem, Shift, ShiftKey, Task, Windows
from faults.rota.engines.routes import starts_of
from faults.rota.engines.weighing import Waiting, weight
from faults.rota.services.coming_first import (
    ComingFirst,
    coming_first,
    in_turn,
    left_as_they_are,
)
from faults.rota.services.doors import Doors, barred_days
from faults.rota.services.drives import Places
from faults.rota.services.priorities import Proposed, counts_as, proposal_for, proposals_of
from faults.rota.services.promised import Promised, last_days, promised_of, waiting_of
from faults.rota.services.working_time import Asked, busy_minutes, hands, shifts_of
from faults.work.queries.board import entering
from sites.kernel.engines.roles import Action
from sites.models import User

# Our own choice, shown with each plan: what moving a job weighs that has a crew and a day already.
MOVING_MIN = 60
MOST_JOBS = 150
_DAY_MIN = 24 * 60


@dataclass
class Gathered:
    """A problem with the rows behind its keys.

    Args:
        barred: why a job cannot go on any of the days, by its key, in words.
        too_full: the days of crews that are left as they are: what is fixed there does not fit.
        without_place: properties and yards whose drives are assumed.
        beyond: how many jobs of the tray were not looked at.
        promised, waiting: what was promised of a job, and how it waits, by its key.
        first: the locates that come before jobs.
    """

    asked: Asked
    problem: Problem
    jobs: dict[int, Job]
    working: dict[Slot, WorkingDay]
    today: date
    barred: dict[int, str] = field(default_factory=dict)
    too_full: list[ShiftKey] = field(default_factory=list)
    without_place: list[str] = field(default_factory=list)
    beyond: int = 0
    promised: dict[int, Promised] = field(default_factory=dict)
    waiting: dict[int, Waiting] = field(default_factory=dict)
    first: ComingFirst = field(default_factory=lambda: ComingFirst({}, {}))

    def weighs(self, job: Job) -> int:
        """Return what leaving a job out weighs, promises apart."""
        priority = counts_as(job, self.proposes(job))
        return weight(PENALTY_MIN[priority], self.waiting[job.pk])

    def proposes(self, job: Job) -> Proposed:
        """Return the priority that the waiting of a job proposes."""
        known = self.waiting[job.pk], self.promised.get(job.pk)
        return proposal_for(job, *known, today=self.today)

    def last_days(self) -> dict[int, int]:
        """Return the last day that keeps each promise which binds in these days."""
        return last_days(self.promised, self.asked.days)

    def crew(self, key: ShiftKey) -> Crew:
        """Return the crew of a shift."""
        return self.asked.crews[key.crew]

    def day(self, key: ShiftKey) -> date:
        """Return the day of a shift."""
        return self.asked.days[key.day]

    def on(self, key: ShiftKey) -> WorkingDay:
        """Return when the crew of a shift works that day."""
        return self.working[self.crew(key).pk, self.day(key)]

    def by_day(self, key: ShiftKey, minute: int) -> int:
        """Return the minute of the day at which a job starts, of one on the working clock."""
        return start_by_day(minute, self.on(key).rests)

    def shift_keys(self) -> Iterator[ShiftKey]:
        """Return each crew on each day."""
        for crew in range(len(self.asked.crews)):
            for day in range(len(self.asked.days)):
                yield ShiftKey(crew, day)

    def key_of(self, job: Job) -> ShiftKey | None:
        """Return the shift on which a job lies now, if it is one of those that are planned."""
        if job.crew is None or job.day not in self.asked.days or job.crew not in self.asked.crews:
            return None
        return ShiftKey(self.asked.crews.index(job.crew), self.asked.days.index(job.day))


def gather(user: User, asked: Asked, *, now: datetime) -> Gathered:
    """Return the problem of these crews and days, with the jobs of the tray and of those days."""
    rows, beyond = _jobs(user, asked, today=now.date())
    busy = busy_minutes(user, asked, now)
    working = working_days(asked.crews, asked.days)
    shifts, table = shifts_of(asked, busy, working, now), Places()
    gathered = Gathered(
        asked,
        Problem([], [], []),
        {job.pk: job for job in rows},
        working,
        now.date(),
        beyond=beyond,
        promised=promised_of(rows, today=now.date()),
        waiting=waiting_of(rows, today=now.date()),
        first=coming_first(rows),
    )
    tasks = _tasks(gathered, rows, table, now.date())
    placed = [replace(shift, place=table.yard(asked.crews[shift.key.crew])) for shift in shifts]
    gathered.without_place = table.unknown
    _leave_too_full(gathered, placed, tasks, table.minutes())
    return gathered


def _jobs(user: User, asked: Asked, *, today: date) -> tuple[list[Job], int]:
    """Return the planned jobs in question that this user may plan, the most urgent first."""
    mine = jobs_for(user, Action.PLAN_JOBS).filter(state=JobState.PLANNED.value)
    before = min(today, asked.days[0])
    waiting = Q(crew__isnull=True) | Q(day__isnull=True) | Q(day__lt=before)
    there = Q(crew__in=asked.crews, day__in=asked.days)
    ordered = mine.select_related("property", "fault", "crew").order_by("-priority", "due_on", "pk")
    fixed, tray = list(ordered.filter(there)), list(ordered.filter(waiting))
    if len(tray) > MOST_JOBS:
        offers = proposals_of(tray, today=today)
        tray.sort(key=lambda job: -counts_as(job, offers[job.pk]))
    return [*fixed, *tray[:MOST_JOBS]], max(0, len(tray) - MOST_JOBS)


def _tasks(
    gathered: Gathered,
    rows: Sequence[Job],
    table: Places,
    today: date,
) -> list[Task]:
    asked = gathered.asked
    doors = entering({job.property_id for job in rows})
    arrivals = {key: one.arrival for key, one in gathered.promised.items()}
    promised = {key: arrival for key, arrival in arrivals.items() if arrival is not None}
    barred = barred_days(rows, asked.days, today, promised)
    found = []
    for job in rows:
        why = [
            barred.get((job.pk, day), "") or gathered.first.barring(job, day) for day in asked.days
        ]
        able = _able_days(job, asked.days)
        if able and all(why[number] for number in able):
            gathered.barred[job.pk] = why[able[0]]
        at = gathered.key_of(job)
        # Jobs of a crew that is not there have to go to another one, whatever was wanted.
        is_away = at is not None and _is_missing(gathered.on(at))
        if at is not None and (job.is_locked or not (asked.may_move or is_away)):
            found.append(_fixed(gathered, job, at, table))
        else:
            found.append(_free(gathered, job, at, table, Doors(doors, promised), why))
    return found


def _is_missing(on: WorkingDay) -> bool:
    """Whether a crew is away, or all of its people are. A day off alone is none: who planned a
    job there said why."""
    return on.off is Off.AWAY or bool(on.absent and not on.people)


def _fixed(gathered: Gathered, job: Job, at: ShiftKey, table: Places) -> Task:
    """Return a job that keeps its crew and day, and its time where it has one.

    It was planned or promised so: what the board says against it stands there.
    """
    start = None
    if job.starts_at is not None:
        start = on_working_clock(minute_of(job.starts_at), gathered.on(at).rests)
    window = (0, _DAY_MIN) if start is None else (start, start + job.expected_minutes)
    return Task(
        job.pk,
        job.expected_minutes,
        table.property(job),
        gathered.weighs(job),
        first_day=at.day,
        last_day=at.day,
        always=(window,),
        locked=at,
        after=gathered.first.after(job),
    )


def _free(
    gathered: Gathered,
    job: Job,
    at: ShiftKey | None,
    table: Places,
    doors: Doors,
    barred: Sequence[str],
) -> Task:
    """Return a job that may go on any shift which its days, hours and skill allow.

    Where it keeps its crew and day it keeps its time: someone may have been told.
    """
    days = gathered.asked.days

    def windows(key: ShiftKey) -> Windows:
        rests = gathered.on(key).rests
        found = None if barred[key.day] else doors.of(job, days[key.day], rests)
        return () if barred[key.day] else ((0, _DAY_MIN),) if found is None else found

    able = _able_days(job, days)
    return Task(
        job.pk,
        job.expected_minutes,
        table.property(job),
        gathered.weighs(job),
        job.skill_needed,
        min(able, default=0),
        max(able, default=-1),
        (),
        {
            key: tuple(
                (on_working_clock(a, rests), on_working_clock(b, rests)) for a, b in windows(key)
            )
            for key in gathered.shift_keys()
            for rests in [gathered.on(key).rests]
        },
        hands(job.people_needed),
        promised=at,
        promised_at=_kept_time(gathered, job, at, windows(at)) if at is not None else None,
        moving=MOVING_MIN if at is not None else 0,
        after=gathered.first.after(job),
    )


def _able_days(job: Job, days: Sequence[date]) -> list[int]:
    """Return the numbers of the days that a job was agreed for; both ends count."""
    return [
        number
        for number, day in enumerate(days)
        if (not job.earliest_on or day >= job.earliest_on) and (not job.due_on or day <= job.due_on)
    ]


def _kept_time(gathered: Gathered, job: Job, at: ShiftKey, windows: Windows) -> int | None:
    """Return the time that a job keeps on its day, on the working clock: its own, where it can be
    done then."""
    if job.starts_at is None:
        return None
    start, on = minute_of(job.starts_at), gathered.on(at)
    end = on.end_of(start, job.expected_minutes)
    is_able = any(a <= start and end <= b for a, b in windows)
    return on_working_clock(start, on.rests) if is_able else None


def _leave_too_full(
    gathered: Gathered, shifts: Sequence[Shift], tasks: Sequence[Task], travel: list[list[int]]
) -> None:
    """Take out the shifts whose fixed jobs do not fit: they stay as they are, and are named."""
    whole = Problem(shifts, tasks, travel)
    fixed: dict[ShiftKey, list[Task]] = defaultdict(list)
    for task in tasks:
        if task.locked is not None:
            fixed[task.locked].append(task)
    for key, there in fixed.items():
        order = [task.key for task in in_turn(there, key)]
        shift = whole.shift_at.get(key)
        if shift is None or starts_of(whole, shift, order) is None:
            gathered.too_full.append(key)
    gathered.too_full.sort()
    gathered.problem = Problem(
        [shift for shift in shifts if shift.key not in gathered.too_full],
        left_as_they_are(tasks, gathered.too_full),
        travel,
    )
