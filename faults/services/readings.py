"""Take readings, judge them at once, void them when they were wrong."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from faults.models import Reading, ReadingKind
from sites.engines.roles import Action
from sites.engines.wire.judge import (
    Expectation,
    Judgement,
    judge_insulation,
    judge_ohms,
)
from sites.models import Station, User, Wire, Wiring
from sites.queries import route_wire
from sites.services.expected import Expected, expected_for
from sites.services.reading_limits import thresholds
from sites.services.verbs import UnableToAct, verb

MOST_OHMS = 10_000_000.0

WORDS: dict[Judgement, tuple[Any, Any]] = {
    Judgement.FINE: (
        gettext_lazy("fine"),
        gettext_lazy("Within its band. That says nothing of leaks to earth."),
    ),
    Judgement.OPEN: (
        gettext_lazy("open"),
        gettext_lazy(
            "No way through: hot wire, splice or coil. If all stations read so, look for "
            "the common first."
        ),
    ),
    Judgement.PARTIAL: (
        gettext_lazy("too high"),
        gettext_lazy("A corroded splice or a damaged conductor, if the run and coil are right."),
    ),
    Judgement.TWO_COILS: (
        gettext_lazy("two coils"),
        gettext_lazy("About half a coil: two valves on one station, or shorted turns."),
    ),
    Judgement.SHORT_AT_VALVE: (
        gettext_lazy("short at the valve"),
        gettext_lazy("About the wire's own ohms: the short lies at or in the coil."),
    ),
    Judgement.SHORT_ON_THE_WAY: (
        gettext_lazy("short on the way"),
        gettext_lazy("Less than the wire's own ohms: the short lies nearer."),
    ),
    Judgement.LOW: (
        gettext_lazy("low"),
        gettext_lazy(
            "Lower than it should be: shorted turns, a second coil, or a wrong figure here."
        ),
    ),
    Judgement.LEAK: (
        gettext_lazy("leak to earth"),
        gettext_lazy("The insulation is damaged somewhere on this wire."),
    ),
    Judgement.WATCH: (
        gettext_lazy("watch"),
        gettext_lazy("Not yet a leak; measure again in wet soil."),
    ),
    Judgement.NOT_KNOWN: (gettext_lazy("not judged"), gettext_lazy("Nothing to compare with.")),
}


class UnableToTakeReading(UnableToAct):
    """The value cannot be a reading of this station."""


class UnableToVoidReading(UnableToAct):
    """The reading is voided already."""


@dataclass(frozen=True)
class Judged:
    """A judgement with what it was made against."""

    judgement: Judgement
    expected: Expected
    own_last_good: float | None

    @property
    def word(self) -> str:
        """The judgement in a word."""
        return str(WORDS[self.judgement][0])

    @property
    def advice(self) -> str:
        """What it most often means."""
        return str(WORDS[self.judgement][1])

    @property
    def is_fine(self) -> bool:
        """Whether there is nothing to do."""
        return self.judgement in (Judgement.FINE, Judgement.NOT_KNOWN)


@verb(
    name="take a reading",
    action=Action.TAKE_READINGS,
    guard="a value that can be; a two-wire path has no ohms of one station",
    undo="void the reading",
)
def take_reading(
    *,
    station: Station,
    kind: str,
    value: float,
    taken_on: date,
    today: date,
    by: User | None,
    taken_by: str = "",
    is_loaded: bool | None = None,
    temperature_f: float | None = None,
    notes: str = "",
) -> Reading:
    """Write a reading down, on the wire that serves the station now."""
    _refuse(station, kind, value, taken_on, today)
    return Reading.objects.create(
        station=station,
        wire=route_wire(station),
        kind=kind,
        value=value,
        taken_on=taken_on,
        taken_by=taken_by,
        entered_by=by,
        is_loaded=is_loaded,
        temperature_f=temperature_f,
        notes=notes,
    )


def _refuse(station: Station, kind: str, value: float, taken_on: date, today: date) -> None:
    if station.controller.wiring == Wiring.TWO_WIRE and kind != ReadingKind.VOLTS:
        raise UnableToTakeReading(
            _("A two-wire path carries all its stations: one station has no ohms of its own."),
            field="kind",
        )
    if not 0 <= value <= MOST_OHMS:
        raise UnableToTakeReading(
            _("%s: enter a value from 0 to 10,000,000.") % station, field="value"
        )
    if taken_on > today:
        raise UnableToTakeReading(_("This day has not come yet."), field="taken_on")


@verb(
    name="void a reading",
    action=Action.TAKE_READINGS,
    guard="not voided before; a reason in words",
    undo="take the reading again: a voided one stays in the history",
)
def void_reading(*, reading: Reading, why: str, today: date) -> Reading:
    """Take a wrong reading out of every judgement; it stays in the history."""
    if reading.voided_on is not None:
        raise UnableToVoidReading(_("This reading is voided already."))
    if not why.strip():
        raise UnableToVoidReading(_("Say why, in a few words."), field="why")
    reading.voided_on, reading.why_voided = today, why.strip()
    reading.save()
    return reading


def last_good_ohms(
    stations: Mapping[int, Expected], wires: Mapping[int, int | None]
) -> dict[int, float]:
    """Return for each station its newest ohms on the wire that serves it now, within band.

    A swap starts anew, because readings keep the wire that they were taken on.
    """
    good: dict[int, float] = {}
    limits = thresholds()
    rows = (
        Reading.objects.filter(station__in=stations, kind=ReadingKind.OHMS, voided_on__isnull=True)
        .order_by("station", "taken_on", "pk")
        .values_list("station_id", "wire_id", "value")
    )
    for station_id, wire_id, value in rows:
        if wire_id is not None and wire_id != wires.get(station_id):
            continue
        expected = stations[station_id]
        judgement = judge_ohms(value, Expectation(expected.total_ohms, expected.wire_ohms), limits)
        if judgement is Judgement.FINE:
            good[station_id] = value
    return good


def judge_value(kind: str, value: float, expected: Expected, own_last_good: float | None) -> Judged:
    """Judge one value. Volts are shown and not judged: the load at that time is not known."""
    if kind == ReadingKind.INSULATION:
        judgement = judge_insulation(value, thresholds())
    elif kind == ReadingKind.OHMS and expected.missing != "two-wire path":
        judgement = judge_ohms(
            value,
            Expectation(expected.total_ohms, expected.wire_ohms, own_last_good),
            thresholds(),
        )
    else:
        judgement = Judgement.NOT_KNOWN
    return Judged(judgement, expected, own_last_good)


def expectations(stations: Iterable[Station]) -> tuple[dict[int, Expected], dict[int, float]]:
    """Return expected ohms and own last good readings of these stations, in few queries."""
    ids = [station.pk for station in stations]
    expected = expected_for(ids)
    wires: dict[int, int | None] = dict(
        Wire.objects.filter(feeds__station__in=ids, feeds__to_on__isnull=True).values_list(
            "feeds__station", "pk"
        )
    )
    return expected, last_good_ohms(expected, wires)
