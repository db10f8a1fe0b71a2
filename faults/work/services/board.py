"""The board: crews by days with their jobs, what each lacks, and what clashes, in words.

The page is plain links and forms. `board.js` posts the same form with the card's stamp; the
server refuses what another user has changed meanwhile, and the script shows the form it returns.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, time, timedelta

from faults.models import Crew, Job, JobState
from faults.work.engines.clashes import ClashKind, CrewOn, JobAt, clashes
from faults.work.engines.travel import Place
from faults.work.queries.board import (
    Slot,
    away_on,
    crews_on_board,
    entering,
    jobs_on_board,
    minutes_on,
    plannable,
    skills_on,
    tray,
)
from faults.work.services.clash_words import in_words
from faults.work.services.readiness import readiness_of
from faults.work.services.ready_lines import ReadyLine, Subject
from sites.kernel.services.verbs import stamps_of
from sites.models import User

WEEK = 7


@dataclass
class Card:
    """One job as the board shows it."""

    job: Job
    stamp: str
    may_plan: bool
    lacking: list[ReadyLine] = field(default_factory=list)
    clashes: list[str] = field(default_factory=list)
    # Those of `clashes` that do not come from `lacking`, which the card says by itself.
    against: list[str] = field(default_factory=list)

    @property
    def ends_at(self) -> time | None:
        """When it ends, where its start is set; a job past midnight has no such hour."""
        if self.job.starts_at is None:
            return None
        end = _minute(self.job.starts_at) + self.job.expected_minutes
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
    hours: int
    away: str | None
    cards: list[Card] = field(default_factory=list)

    @property
    def is_too_full(self) -> bool:
        """Whether more is planned than the crew has hours for."""
        return self.minutes > self.hours


@dataclass
class Board:
    """Some days of all crews, and what lies in the tray."""

    days: list[date]
    rows: list[tuple[Crew, list[Cell]]]
    tray: list[Card]
    tray_total: int
    all_crews: list[Crew]

    @property
    def cards(self) -> list[Card]:
        """All cards: those of the tray first, then by crew and day."""
        cells = [cell for _, cells in self.rows for cell in cells]
        return [*self.tray, *(card for cell in cells for card in cell.cards)]

    @property
    def clashing(self) -> list[Card]:
        """The cards against which something speaks."""
        return [card for card in self.cards if card.clashes]


def week_from(day: date) -> list[date]:
    """Return a day and the six after it: what is past is nobody's to plan."""
    return [day + timedelta(days=n) for n in range(WEEK)]


def board_of(user: User, *, days: Sequence[date], today: date, only: str = "") -> Board:
    """Return the board of these days, in as many queries for many jobs as for few.

    Args:
        only: the reference of one crew, to show no other.
    """
    all_crews = crews_on_board(user, days)
    crews = [crew for crew in all_crews if only in ("", crew.ref)]
    shown = {crew.pk for crew in crews}
    planned = [job for job in jobs_on_board(user, days) if job.crew_id in shown]
    waiting, total = tray(user, before=min(today, days[0]))
    known = _Known(crews, days)
    cards = _cards(user, [*waiting, *planned], known, today)
    by_slot: dict[Slot, list[Card]] = defaultdict(list)
    for job in planned:
        if job.crew_id is not None and job.day is not None:
            by_slot[job.crew_id, job.day].append(cards[job.pk])
    rows = [(crew, [known.cell(crew, day, by_slot) for day in days]) for crew in crews]
    return Board(list(days), rows, [cards[job.pk] for job in waiting], total, all_crews)


class _Known:
    """The crews of a board on its days."""

    def __init__(self, crews: Collection[Crew], days: Sequence[date]) -> None:
        self.away = away_on(crews, days)
        self.minutes = minutes_on(crews, days)
        skills = skills_on(crews, days)
        self.crews_on = [
            CrewOn(
                crew.pk,
                day,
                _minute(crew.starts_at),
                _minute(crew.ends_at),
                skills.get((crew.pk, day), 0),
                _place(crew.yard_latitude, crew.yard_longitude),
                self.away.get((crew.pk, day)),
            )
            for crew in crews
            for day in days
        ]

    def cell(self, crew: Crew, day: date, cards: dict[Slot, list[Card]]) -> Cell:
        slot = (crew.pk, day)
        hours = _minute(crew.ends_at) - _minute(crew.starts_at)
        return Cell(
            crew, day, self.minutes.get(slot, 0), hours, self.away.get(slot), cards.get(slot, [])
        )


def _cards(user: User, jobs: Sequence[Job], known: _Known, today: date) -> dict[int, Card]:
    still = [job for job in jobs if job.state != JobState.DONE]
    ready = readiness_of(still, today=today)
    stamps, mine = stamps_of(jobs), plannable(user, jobs)
    cards = {job.pk: Card(job, stamps[job.pk], job.pk in mine) for job in jobs}
    for job in still:
        cards[job.pk].lacking = list(ready[job.pk].lacking)
    by_key = {job.pk: job for job in jobs}
    for clash in clashes(_jobs_at(still, cards), known.crews_on, today=today):
        card, words = cards[clash.key], in_words(clash, by_key)
        card.clashes.append(words)
        if clash.kind is not ClashKind.NOT_READY:
            card.against.append(words)
    return cards


def _jobs_at(jobs: Iterable[Job], cards: dict[int, Card]) -> list[JobAt]:
    """As the engine wants them. Access has words of its own there, by the hours of the day."""
    rows = list(jobs)
    doors = entering({job.property_id for job in rows})
    return [
        JobAt(
            job.pk,
            job.expected_minutes,
            job.crew_id,
            job.day if job.crew_id else None,
            _minute(job.starts_at) if job.starts_at else None,
            job.skill_needed,
            job.earliest_on,
            job.due_on,
            _place(job.property.latitude, job.property.longitude),
            doors.access(job.property_id, job.day) if job.day else None,
            doors.blackout(job.property_id, job.day) if job.day else "",
            tuple(
                str(line.words)
                for line in cards[job.pk].lacking
                if line.subject is not Subject.ACCESS
            ),
            job.state == JobState.STARTED,
        )
        for job in rows
    ]


def _minute(at: time) -> int:
    return at.hour * 60 + at.minute


def _place(latitude: float | None, longitude: float | None) -> Place | None:
    return None if latitude is None or longitude is None else Place(latitude, longitude)
