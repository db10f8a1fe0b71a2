"""What the board shows: a card of each job, and a cell for each crew and day."""

from dataclasses import dataclass, field
from datetime import date, time

from faults.cases.engines.working import Off, Rests, WorkingDay, end_of
from faults.cases.services.working_days import absent_words, minute_of, off_words
from faults.models import Crew, Job, JobState
from faults.work.services.could_take import hours_text
from faults.work.services.ready_lines import ReadyLine


@dataclass
class Card:
    """One job as the board shows it."""

    job: Job
    stamp: str
    may_plan: bool
    # What keeps it from going, what is to be done before, and what there is still time for.
    barring: list[ReadyLine] = field(default_factory=list)
    to_do: list[ReadyLine] = field(default_factory=list)
    planned: list[ReadyLine] = field(default_factory=list)
    clashes: list[str] = field(default_factory=list)
    # Those of `clashes` that do not come from `barring`, which the card says by itself.
    against: list[str] = field(default_factory=list)
    # On which day and between which times somebody was promised there, in words.
    promised: str = ""
    # The breaks of the crew that has it.
    rests: Rests = ()

    @property
    def ends_at(self) -> time | None:
        """When it ends, where its start is set; a job past midnight has no such hour."""
        if self.job.starts_at is None:
            return None
        end = end_of(minute_of(self.job.starts_at), self.job.expected_minutes, self.rests)
        return time(end // 60, end % 60) if end < 24 * 60 else None

    @property
    def is_over(self) -> bool:
        """Whether the visit was made."""
        return self.job.state == JobState.DONE

    @property
    def can_move(self) -> bool:
        """Whether this user may put it elsewhere now."""
        is_planned = self.job.state == JobState.PLANNED
        return self.may_plan and is_planned and not self.job.is_locked


@dataclass
class Cell:
    """One crew on one day."""

    crew: Crew
    day: date
    minutes: int
    on: WorkingDay
    cards: list[Card] = field(default_factory=list)

    @property
    def hours(self) -> int:
        """The minutes that the crew can work that day."""
        return self.on.minutes

    @property
    def off(self) -> str:
        """Why the crew does not work, in words; empty where it does."""
        return off_words(self.on, self.day)

    @property
    def is_weekday_off(self) -> bool:
        """Whether the crew never works on such a weekday."""
        return self.on.off is Off.WEEKDAY

    @property
    def absent(self) -> str:
        """Who of it is not there, on a day that it works."""
        return absent_words(self.on) if self.on.off is None else ""

    @property
    def planned_h(self) -> str:
        """What is planned, in hours."""
        return hours_text(self.minutes)

    @property
    def worked_h(self) -> str:
        """What can be worked, in hours."""
        return hours_text(self.hours)

    @property
    def is_too_full(self) -> bool:
        """Whether more is planned than the crew has hours for."""
        return self.on.off is None and self.minutes > self.on.most_minutes


@dataclass
class Row:
    """One crew with its days.

    Args:
        coming: when it has its next job, in words, where it does not work today; else empty.
    """

    crew: Crew
    cells: list[Cell]
    coming: str = ""
