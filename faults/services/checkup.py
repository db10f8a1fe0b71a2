"""A controller's check-up and walk: many stations in one go, all or nothing."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from faults.engines.control_chart import Verdict, judge_newest
from faults.models import Reading, ReadingKind, WalkNote
from faults.services.readings import Judged, expectations, judge_value, take_reading
from sites.engines.roles import Action
from sites.engines.wire.judge import Judgement
from sites.models import Controller, Station, User
from sites.services.verbs import UnableToAct, verb

# A meter's own resolution and its leads: less than this is no change. Common practice.
LEAST_BAND_OHMS = 1.0
# Worst first, as the overview and the summary of a check-up list them.
WORST = [
    Judgement.OPEN,
    Judgement.SHORT_ON_THE_WAY,
    Judgement.SHORT_AT_VALVE,
    Judgement.LEAK,
    Judgement.PARTIAL,
    Judgement.TWO_COILS,
    Judgement.LOW,
    Judgement.WATCH,
    Judgement.FINE,
    Judgement.NOT_KNOWN,
]


class UnableToCheckUp(UnableToAct):
    """Nothing was measured, or a value cannot be."""


@dataclass(frozen=True)
class Line:
    """One station on a controller's overview."""

    station: Station
    expected_ohms: float | None
    latest: Reading | None
    judged: Judged | None
    verdict: Verdict | None
    walked: WalkNote | None
    missing: str

    @property
    def deviation(self) -> float | None:
        """How far the latest reading lies from what is expected, as a share."""
        best = self.judged and (self.judged.own_last_good or self.judged.expected.total_ohms)
        if not best or self.latest is None:
            return None
        return self.latest.value / best - 1

    @property
    def is_creeping(self) -> bool:
        """Whether it reads higher and higher."""
        return self.verdict is not None and self.verdict.is_creeping

    @property
    def rank(self) -> tuple[int, int, int]:
        """Worst first."""
        judgement = self.judged.judgement if self.judged else Judgement.NOT_KNOWN
        place = WORST.index(judgement)
        if self.is_creeping and judgement is Judgement.FINE:
            place = WORST.index(Judgement.WATCH)
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
    expected, last_good = expectations(stations)
    ohms = _ohms_by_station(stations)
    walked = _walked(stations)
    lines = []
    for station in stations:
        readings = ohms.get(station.pk, [])
        latest = readings[-1] if readings else None
        # The newest is judged against the ones before it, never against itself.
        own = _own_before(readings, last_good.get(station.pk))
        judged = (
            judge_value(ReadingKind.OHMS, latest.value, expected[station.pk], own)
            if latest
            else None
        )
        lines.append(
            Line(
                station,
                expected[station.pk].total_ohms,
                latest,
                judged,
                _verdict(readings),
                walked.get(station.pk),
                expected[station.pk].missing,
            )
        )
    return sorted(lines, key=lambda line: line.rank)


def _own_before(readings: Sequence[Reading], last_good: float | None) -> float | None:
    if readings and last_good is not None and readings[-1].value == last_good:
        return None
    return last_good


def _verdict(readings: Sequence[Reading]) -> Verdict | None:
    """Readings on another wire than the newest's set no limits: a swap starts anew."""
    if not readings:
        return None
    wire_id = readings[-1].wire_id
    same = [reading.value for reading in readings if reading.wire_id == wire_id]
    return judge_newest(same, least_band=LEAST_BAND_OHMS)


def _ohms_by_station(stations: Iterable[Station]) -> dict[int, list[Reading]]:
    by_station: dict[int, list[Reading]] = {}
    rows = Reading.objects.filter(
        station__in=list(stations), kind=ReadingKind.OHMS, voided_on__isnull=True
    ).order_by("station", "taken_on", "pk")
    for row in rows:
        by_station.setdefault(row.station_id, []).append(row)
    return by_station


def _walked(stations: Iterable[Station]) -> dict[int, WalkNote]:
    rows = WalkNote.objects.filter(station__in=list(stations)).order_by("station", "seen_on")
    return {row.station_id: row for row in rows}
