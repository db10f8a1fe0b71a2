"""A round as its page shows it: each property with the visit that counts now, and the sums."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from faults.models import Round, RoundStop, RoundVisit
from faults.rounds.queries.rounds import stops_shown, visits_of
from faults.rounds.services.planning import Coming, coming_of
from faults.rounds.services.progress import Progress, percent_of, progress_of
from faults.rounds.services.words import left_words, repeats_words, state_words, window_words
from sites.models import User, today_at


@dataclass(frozen=True)
class Line:
    """One property of a round.

    Args:
        visit: its newest one; None before the first.
        coming: the turn that comes next, or why none does.
    """

    stop: RoundStop
    visit: RoundVisit | None
    progress: Progress | None
    coming: Coming | None
    today: date

    @property
    def state(self) -> str:
        """How its newest visit stands."""
        return state_words(self.progress) if self.visit else ""

    @property
    def left(self) -> str:
        """What was left so far, where the visit is over or somebody said why."""
        if self.progress is None:
            return ""
        told = [each for each in self.progress.left if each.left or self.progress.is_over]
        return left_words(told)

    @property
    def days_late(self) -> int:
        """For how many days something of it has been overdue; 0 where nothing is."""
        if self.visit is None or self.progress is None or self.progress.is_over:
            return 0
        return max(0, (self.today - self.visit.due_on).days) if self.progress.left else 0

    @property
    def may_plan_left(self) -> bool:
        """Whether another visit to what was left can be planned."""
        come = self.progress
        return come is not None and come.job.state == "done" and bool(come.left)


@dataclass(frozen=True)
class Shown:
    """A round with its lines, and sums over the visits that are the newest of each property."""

    lines: Sequence[Line]
    repeats: str
    window: str
    unsent: int

    @property
    def done(self) -> int:
        """How many stations and timers are done."""
        return sum(line.progress.done for line in self.lines if line.progress)

    @property
    def total(self) -> int:
        """How many the newest visits go to."""
        return sum(line.progress.total for line in self.lines if line.progress)

    @property
    def percent(self) -> int | None:
        """The share that is done; None before anything is planned."""
        return percent_of(self.done, self.total)

    @property
    def faults(self) -> int:
        """How many faults were reported out of it."""
        found = {one.pk for line in self.lines if line.progress for one in line.progress.faults}
        return len(found)


def shown_round(user: User, the_round: Round, *, at: datetime) -> Shown:
    """Return a round with all that its page shows of the properties that the user may see."""
    visits: dict[int, RoundVisit] = {}
    for visit in visits_of(user, of=[the_round]):
        visits.setdefault(visit.property_id, visit)
    jobs = [visit.job for visit in visits.values() if visit.job is not None]
    begins = {visit.job_id: visit.begins_on for visit in visits.values() if visit.job_id}
    come = progress_of(jobs, begins)
    coming: Mapping[int, Coming] = {}
    if the_round.ended_on is None:
        coming = {each.stop.pk: each for each in coming_of(the_round, at=at)}
    lines = []
    for stop in stops_shown(user, the_round):
        newest = visits.get(stop.property_id)
        progress = come.get(newest.job_id or 0) if newest else None
        lines.append(Line(stop, newest, progress, coming.get(stop.pk), today_at(stop.property, at)))
    unsent = sum(job.crew_id is None and job.state == "planned" for job in jobs)
    return Shown(lines, repeats_words(the_round), window_words(the_round), unsent)
