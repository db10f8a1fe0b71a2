"""The board: crews by days with their jobs, what each lacks, and what clashes, in words.

The page is plain links and forms. `board.js` posts the same form with the card's stamp; the
server refuses what another user has changed meanwhile, and the script shows the form it returns.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.translation import gettext as _

from faults.cases.engines.working import Off, Rests, WorkingDay
from faults.cases.services.working_days import (
    Slot,
    absent_words,
    minute_of,
    off_words,
    weekday_name,
    working_days,
)
from faults.models import Crew, Job, JobState
from faults.work.engines.arriving import Arrival
from faults.work.engines.clashes import ClashKind, CrewOn, JobAt, clashes
from faults.work.engines.travel import Place
from faults.work.queries.board import (
    crews_on_board,
    entering,
    jobs_on_board,
    minutes_on,
    next_planned,
    plannable,
    tray,
)
from faults.work.services.arriving import arrival_words, arrivals
from faults.work.services.board_rows import Card, Cell, Row
from faults.work.services.clash_words import in_words
from faults.work.services.could_take import could_take, could_take_words
from faults.work.services.forerunners import forerunners, too_soon_words
from faults.work.services.readiness import readiness_of
from faults.work.services.ready_lines import Subject
from sites.kernel.services.verbs import stamps_of
from sites.models import User

WEEK = 7
# What another crew may mend.
OF_THE_CREW = {
    ClashKind.AWAY,
    ClashKind.OFF,
    ClashKind.NOBODY,
    ClashKind.SKILL,
    ClashKind.PEOPLE,
}


@dataclass
class Board:
    """Some days of all crews, and what lies in the tray."""

    days: list[date]
    rows: list[Row]
    tray: list[Card]
    tray_total: int
    all_crews: list[Crew]

    @property
    def cards(self) -> list[Card]:
        """All cards: those of the tray first, then by crew and day."""
        cells = [cell for row in self.rows for cell in row.cells]
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
    known = _Known(all_crews, days)
    cards = _cards(user, [*waiting, *planned], known, today)
    by_slot: dict[Slot, list[Card]] = defaultdict(list)
    for job in planned:
        if job.crew_id is not None and job.day is not None:
            by_slot[job.crew_id, job.day].append(cards[job.pk])
    coming = _coming(crews, known, today)
    rows = [
        Row(crew, [known.cell(crew, day, by_slot) for day in days], coming.get(crew.pk, ""))
        for crew in crews
    ]
    return Board(list(days), rows, [cards[job.pk] for job in waiting], total, all_crews)


def _coming(crews: Sequence[Crew], known: "_Known", today: date) -> dict[int, str]:
    """Return when crews that do not work today have their next job, in words."""
    off = [
        crew
        for crew in crews
        if (on := known.working.get((crew.pk, today))) is not None and not on.is_worked
    ]
    return {
        key: _("next planned: %(weekday)s %(day)s")
        % {"weekday": weekday_name(day.weekday()), "day": day.isoformat()}
        for key, day in next_planned(off, after=today).items()
    }


class _Known:
    """The crews of a board on its days."""

    def __init__(self, crews: Collection[Crew], days: Sequence[date]) -> None:
        self.crews = crews
        self.working = working_days(crews, days)
        self.minutes = minutes_on(crews, days)
        self.crews_on = [
            _crew_on(crew, day, self.working[crew.pk, day]) for crew in crews for day in days
        ]

    def cell(self, crew: Crew, day: date, cards: dict[Slot, list[Card]]) -> Cell:
        slot = (crew.pk, day)
        return Cell(crew, day, self.minutes.get(slot, 0), self.working[slot], cards.get(slot, []))

    def rests_of(self, job: Job) -> Rests:
        """Return the breaks of the crew that has a job, on its day."""
        on = self.working.get((job.crew_id or 0, job.day)) if job.day else None
        return on.rests if on else ()

    def could_take(self, job: Job) -> str:
        """Return in words who could take a job on its day."""
        assert job.day is not None
        given = {"crews": self.crews, "working": self.working, "planned": self.minutes}
        return could_take_words(could_take(job, job.day, **given))  # type: ignore[arg-type]


def _crew_on(crew: Crew, day: date, on: WorkingDay) -> CrewOn:
    is_away = on.off is Off.AWAY
    return CrewOn(
        crew.pk,
        day,
        on.start,
        on.end,
        on.skill,
        _place(crew.yard_latitude, crew.yard_longitude),
        on.why if is_away else None,
        off_words(on, day) if on.off is not None and not is_away else None,
        on.rests,
        absent_words(on),
        on.people,
        on.overtime,
    )


def _cards(user: User, jobs: Sequence[Job], known: _Known, today: date) -> dict[int, Card]:
    still = [job for job in jobs if job.state != JobState.DONE]
    ready = readiness_of(still, today=today)
    stamps, mine = stamps_of(jobs), plannable(user, jobs)
    cards = {
        job.pk: Card(job, stamps[job.pk], job.pk in mine, rests=known.rests_of(job)) for job in jobs
    }
    for job in still:
        card, found = cards[job.pk], ready[job.pk]
        card.barring, card.to_do, card.planned = found.barring, found.to_do, found.planned
    by_key = {job.pk: job for job in jobs}
    elsewhere = set()
    promised = arrivals(still, today=today)
    for key in promised:
        cards[key].promised = arrival_words(by_key[key].fault)
    for key, firsts in forerunners(still).items():
        for words in too_soon_words(by_key[key], firsts):
            cards[key].clashes.append(words)
            cards[key].against.append(words)
    for clash in clashes(_jobs_at(still, cards, promised), known.crews_on, today=today):
        card, words = cards[clash.key], in_words(clash, by_key)
        card.clashes.append(words)
        if clash.kind is not ClashKind.NOT_READY:
            card.against.append(words)
        if clash.kind in OF_THE_CREW and clash.key not in elsewhere:
            elsewhere.add(clash.key)
            card.against.append(known.could_take(by_key[clash.key]))
    return cards


def _jobs_at(
    jobs: Iterable[Job], cards: dict[int, Card], promised: dict[int, Arrival]
) -> list[JobAt]:
    """As the engine wants them. Access has words of its own there, by the hours of the day."""
    rows = list(jobs)
    doors = entering({job.property_id for job in rows})
    return [
        JobAt(
            job.pk,
            job.expected_minutes,
            job.crew_id,
            job.day if job.crew_id else None,
            minute_of(job.starts_at) if job.starts_at else None,
            job.skill_needed,
            job.earliest_on,
            job.due_on,
            _place(job.property.latitude, job.property.longitude),
            doors.access(job.property_id, job.day) if job.day else None,
            doors.blackout(job.property_id, job.day) if job.day else "",
            tuple(
                str(line.words)
                for line in cards[job.pk].barring
                if line.subject is not Subject.ACCESS
            ),
            job.state == JobState.STARTED,
            cards[job.pk].rests,
            job.people_needed,
            promised.get(job.pk),
        )
        for job in rows
    ]


def _place(latitude: float | None, longitude: float | None) -> Place | None:
    return None if latitude is None or longitude is None else Place(latitude, longitude)
