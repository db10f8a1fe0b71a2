"""A controller's check-up and walk: many stations in one go, all or nothing."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from faults.models import (
    CLOSED_STAGES,
    FaultStation,
    Reading,
    ReadingKind,
    WalkNote,
    WalkResult,
)
from faults.readings.engines.control_chart import Verdict
from faults.readings.services.judging import Course, Judged, courses_of
from faults.readings.services.readings import take_reading
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Controller, Station, User
from sites.wires.engines.judge import Judgement
from sites.wires.services.expected import Expected

# Worst first, as the overview and the summary of a check-up list them.
WORST = [
    Judgement.OPEN,
    Judgement.SHORT_ON_THE_WAY,
    Judgement.SHORT_AT_VALVE,
    Judgement.LEAK,
    Judgement.ONE_COIL_OPEN,
    Judgement.PARTIAL,
    Judgement.TWO_COILS,
    Judgement.LOW,
    Judgement.WATCH,
    Judgement.OFF_THE_COIL,
    Judgement.FINE,
    Judgement.NOT_KNOWN,
]


NO_DEVIATION = (Judgement.NOT_KNOWN, Judgement.OPEN, Judgement.OFF_THE_COIL)


class UnableToCheckUp(UnableToAct):
    """Nothing was measured, or a value cannot be."""


@dataclass(frozen=True)
class Line:
    """One station on a controller's overview."""

    station: Station
    course: Course
    walked: WalkNote | None
    has_open_fault: bool

    @property
    def expected(self) -> Expected:
        """What it should read, or what is missing."""
        return self.course.expected

    @property
    def latest(self) -> Reading | None:
        """Its newest ohms."""
        newest = self.course.newest(ReadingKind.OHMS)
        return newest[0] if newest else None

    @property
    def judged(self) -> Judged | None:
        """What its newest ohms say."""
        newest = self.course.newest(ReadingKind.OHMS)
        return newest[1] if newest else None

    @property
    def insulation(self) -> Reading | None:
        """Its newest insulation."""
        newest = self.course.newest(ReadingKind.INSULATION)
        return newest[0] if newest else None

    @property
    def insulation_judged(self) -> Judged | None:
        """What its newest insulation says."""
        newest = self.course.newest(ReadingKind.INSULATION)
        return newest[1] if newest else None

    @property
    def verdict(self) -> Verdict | None:
        """Whether it creeps, by its own limits."""
        return self.course.verdict

    @property
    def deviation(self) -> float | None:
        """How far the latest reading lies from what it was judged by, as a share."""
        best = self.judged and (self.judged.own_last_good or self.judged.expected.total_ohms)
        if not best or self.latest is None or self.judged is None:
            return None
        if self.judged.judgement in NO_DEVIATION:
            return None
        at_20_c = self.judged.at_20_c
        return None if at_20_c is None else at_20_c / best - 1

    @property
    def is_creeping(self) -> bool:
        """Whether it reads higher and higher."""
        return self.verdict is not None and self.verdict.is_creeping

    @property
    def is_dead(self) -> bool:
        """Whether it was seen to fail on the newest walk."""
        return self.walked is not None and self.walked.result == WalkResult.DEAD

    @property
    def needs_a_look(self) -> bool:
        """Whether anything that was read or seen asks for something to be done."""
        judged = [each for each in (self.judged, self.insulation_judged) if each]
        return self.is_creeping or self.is_dead or not all(each.is_fine for each in judged)

    @property
    def rank(self) -> tuple[int, int, int]:
        """Worst first."""
        place = min(
            WORST.index(each.judgement if each else Judgement.NOT_KNOWN)
            for each in (self.judged, self.insulation_judged)
        )
        if self.is_creeping or self.is_dead:
            place = min(place, WORST.index(Judgement.WATCH))
        return (place, 0 if self.is_creeping else 1, self.station.number)


@verb(
    name="check up the wires of a controller",
    action=Action.TAKE_READINGS,
    guard="at least one value; each must be possible",
    undo="void the readings one by one",
)
def check_up(
    *,
    values: Sequence[tuple[Station, str, float]],
    taken_on: date,
    today: date,
    by: User,
    taken_by: str,
    temperature_f: float | None = None,
) -> list[Reading]:
    """Write all values down, or none."""
    if not values:
        raise UnableToCheckUp(_("Nothing is filled in yet."))
    return [
        take_reading(
            station=station,
            kind=kind,
            value=value,
            taken_on=taken_on,
            today=today,
            by=by,
            taken_by=taken_by,
            temperature_f=temperature_f,
        )
        for station, kind, value in values
    ]


@verb(
    name="walk the stations of a controller",
    action=Action.TAKE_READINGS,
    guard="at least one station seen; not on a day to come",
    undo="walk again: the same day's note is put right, and history keeps the old one",
)
def walk(
    *, seen: Sequence[tuple[Station, str, str]], seen_on: date, today: date, by: User
) -> list[WalkNote]:
    """Write down what each station did."""
    if not seen:
        raise UnableToCheckUp(_("No station is marked yet."))
    if seen_on > today:
        raise UnableToCheckUp(_("This day has not come yet."), field="seen_on")
    return [_note(station, result, note, seen_on, by) for station, result, note in seen]


def _note(station: Station, result: str, words: str, seen_on: date, by: User) -> WalkNote:
    note = WalkNote.objects.filter(station=station, seen_on=seen_on).first() or WalkNote(
        station=station, seen_on=seen_on
    )
    note.result, note.note, note.by = result, words, by
    note.save()
    return note


def stations_of(controller: Controller) -> list[Station]:
    """Return the controller's stations by number."""
    stations = controller.stations.filter(retired_on__isnull=True).order_by("number", "pk")
    for station in stations:
        station.controller = controller
    return list(stations)


def overview(controller: Controller) -> list[Line]:
    """Return a line for each station, worst first."""
    stations = stations_of(controller)
    courses = courses_of(stations)
    walked = _walked(stations)
    faulty = _with_open_faults(stations)
    lines = [
        Line(each, courses[each.pk], walked.get(each.pk), each.pk in faulty) for each in stations
    ]
    return sorted(lines, key=lambda line: line.rank)


def _with_open_faults(stations: Iterable[Station]) -> set[int]:
    rows = FaultStation.objects.filter(station__in=list(stations))
    return set(rows.exclude(stage__in=CLOSED_STAGES).values_list("station", flat=True))


def _walked(stations: Iterable[Station]) -> dict[int, WalkNote]:
    rows = WalkNote.objects.filter(station__in=list(stations)).order_by("station", "seen_on")
    return {row.station_id: row for row in rows}
