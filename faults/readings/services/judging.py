"""Judge readings: each against what it should be, and against the good ones before it.

`expected` (sites/wires/services) says what a station should read, from the legs of its wire, the
common and the coil. Only good readings set the limits of its chart. Limits are common practice; the
setting READING_LIMITS overrides them.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext_lazy

from faults.models import Reading, ReadingKind
from faults.readings.engines.control_chart import Verdict, judge_newest, since_restart
from sites.models import Property, Station, Stopgap, StopgapKind
from sites.wires.engines.judge import (
    Expectation,
    Judgement,
    insulation_at_20_c,
    judge_insulation,
    judge_ohms,
)
from sites.wires.engines.warmth import Warmth
from sites.wires.services.expected import Expected, expected_for
from sites.wires.services.reading_limits import thresholds
from sites.wires.services.warmth import warmth_at

# A meter's own resolution and its leads: less than this is no change. Common practice.
LEAST_BAND_OHMS = 1.0

WORDS: dict[Judgement, tuple[object, object]] = {
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
        gettext_lazy(
            "The coil beside another one, alike or not: two valves on one station, or two wires "
            "that touch. Shorted turns read so, too."
        ),
    ),
    Judgement.ONE_COIL_OPEN: (
        gettext_lazy("one coil open"),
        gettext_lazy(
            "As with one of its coils open: that coil, its lead or its splice. The wire is "
            "sound up to the other one."
        ),
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
    Judgement.OFF_THE_COIL: (
        gettext_lazy("off the coil: on a timer"),
        gettext_lazy(
            "A battery timer is on the valve, so nothing closes the loop: a bring-home test tells "
            "whether the wire is sound."
        ),
    ),
    Judgement.NOT_KNOWN: (gettext_lazy("not judged"), gettext_lazy("Nothing to compare with.")),
}


Days = tuple[date, date | None]


@dataclass(frozen=True)
class Judged:
    """A judgement with what it was made against; `at_20_c` is the value that was judged.

    Copper and insulation change with warmth, so both are brought to 20 C first.
    """

    judgement: Judgement
    expected: Expected
    own_last_good: float | None
    at_20_c: float | None = None
    warmth: Warmth | None = None

    @property
    def word(self) -> str:
        """The judgement in a word."""
        return str(WORDS[self.judgement][0])

    @property
    def advice(self) -> str:
        """What it most often means."""
        return str(WORDS[self.judgement][1])

    @property
    def is_good(self) -> bool:
        """Whether it was judged, and lies within its band."""
        return self.judgement is Judgement.FINE

    @property
    def is_fine(self) -> bool:
        """Whether there is nothing to do."""
        return self.judgement in (Judgement.FINE, Judgement.NOT_KNOWN, Judgement.OFF_THE_COIL)


def judge_value(
    kind: str,
    value: float,
    expected: Expected,
    own_last_good: float | None,
    warmth: Warmth,
    *,
    on_timer: bool = False,
) -> Judged:
    """Judge one value. Volts are shown and not judged: the load at that time is not known.

    Args:
        own_last_good: the station's own last good ohms, at 20 C.
        on_timer: whether a battery timer had taken the coil off this wire: then it reads open.
    """
    limits = thresholds()
    if kind == ReadingKind.INSULATION:
        at_20_c = insulation_at_20_c(value, warmth.wire_c)
        return Judged(judge_insulation(at_20_c, limits), expected, own_last_good, at_20_c, warmth)
    if kind == ReadingKind.OHMS and expected.missing != "two-wire path":
        # No way through is no copper: it has no warmth.
        is_open = value >= limits.open_ohms
        at_20_c = value if is_open else warmth.at_20_c(value, expected.wire_ohms)
        known = Expectation(
            *(expected.total_ohms, expected.wire_ohms), own_last_good, expected.coils
        )
        judgement = judge_ohms(at_20_c, known, limits)
        if on_timer and judgement is Judgement.OPEN:
            judgement = Judgement.OFF_THE_COIL
        return Judged(judgement, expected, own_last_good, at_20_c, warmth)
    return Judged(Judgement.NOT_KNOWN, expected, own_last_good)


@dataclass(frozen=True)
class Course:
    """A station's readings, oldest first, each judged by what was known before it."""

    expected: Expected
    readings: Sequence[Reading]
    judged: Sequence[Judged]
    own_last_good: float | None

    def newest(self, kind: str) -> tuple[Reading, Judged] | None:
        """Return the newest reading of a kind with its judgement."""
        pairs = zip(reversed(self.readings), reversed(self.judged), strict=True)
        return next(((r, j) for r, j in pairs if r.kind == kind), None)

    @property
    def charted(self) -> list[tuple[Reading, Judged]]:
        """The ohms since the last swap or new coil; an open wire has no point to draw."""
        pairs = zip(self.readings, self.judged, strict=True)
        rows = [(reading, judged) for reading, judged in pairs if reading.kind == ReadingKind.OHMS]
        starts = [
            row.is_new_coil or (n > 0 and row.wire_id != rows[n - 1][0].wire_id)
            for n, (row, _judged) in enumerate(rows)
        ]
        limit = thresholds().open_ohms
        return [
            (row, judged)
            for row, judged in since_restart(rows, starts)
            if row.value < limit and judged.at_20_c is not None
        ]

    @property
    def assumed(self) -> int:
        """How many of the charted ohms were brought to 20 C by an assumed warmth."""
        return sum(judged.warmth is None or judged.warmth.is_assumed for _r, judged in self.charted)

    @property
    def verdict(self) -> Verdict | None:
        """Whether the newest of the charted ohms creeps above what those before it set."""
        newest = self.newest(ReadingKind.OHMS)
        charted = self.charted
        if newest is None or not charted or newest[0] != charted[-1][0]:
            return None
        # One reading of a broken wire would widen the limits for ever, so only good ones set them.
        used = [judged for _row, judged in charted[:-1] if judged.is_good] + [charted[-1][1]]
        values = [judged.at_20_c for judged in used if judged.at_20_c is not None]
        error = max(
            judged.warmth.error_ohms(at_20_c)
            for judged, at_20_c in zip(used, values, strict=True)
            if judged.warmth is not None
        )
        return judge_newest(values, least_band=LEAST_BAND_OHMS, shared_error=error)


def judge_in_order(
    readings: Sequence[Reading],
    expected: Expected,
    warmth_of: Callable[[Reading], Warmth],
    timers: Sequence[Days] = (),
) -> Course:
    """Judge a station's readings, oldest first.

    A swap of wire or a new coil restarts the series: earlier readings judge no later ones. A
    reading on a wire that no longer serves the station is not judged: that wire is not known.
    """
    judged: list[Judged] = []
    own: float | None = None
    for reading in readings:
        if reading.is_new_coil:
            own = None
        if _is_of_another_circuit(reading, expected):
            judged.append(Judged(Judgement.NOT_KNOWN, expected, None))
            continue
        warmth = warmth_of(reading)
        on_timer = was_on_timer(timers, reading.taken_on)
        judged.append(
            judge_value(reading.kind, reading.value, expected, own, warmth, on_timer=on_timer)
        )
        if reading.kind == ReadingKind.OHMS and judged[-1].is_good:
            own = judged[-1].at_20_c
    return Course(expected, readings, judged, own)


def _is_of_another_circuit(reading: Reading, expected: Expected) -> bool:
    """Return whether it was taken on another wire, or while its wire served others than now."""
    if reading.wire_id is not None and reading.wire_id != expected.wire_id:
        return True
    return expected.as_now_since is not None and reading.taken_on < expected.as_now_since


def courses_of(stations: Iterable[Station]) -> dict[int, Course]:
    """Return the judged readings of these stations, in few queries."""
    by_pk = {station.pk: station for station in stations}
    ids = list(by_pk)
    expected = expected_for(ids)
    readings: dict[int, list[Reading]] = {pk: [] for pk in ids}
    rows = Reading.objects.filter(station__in=ids, voided_on__isnull=True)
    for row in rows.order_by("taken_on", "pk"):
        readings[row.station_id].append(row)
    limit = thresholds().open_ohms
    read_open = {pk for pk, rows in readings.items() if any(row.value >= limit for row in rows)}
    timers = timers_of(read_open)
    return {
        pk: judge_in_order(
            rows, expected[pk], _warmth_at(by_pk[pk].controller.property), timers.get(pk, ())
        )
        for pk, rows in readings.items()
    }


def timers_of(station_ids: Iterable[int]) -> dict[int, list[Days]]:
    """Return the days on which a battery timer stood on each station, [from, to)."""
    found: dict[int, list[Days]] = {}
    rows = Stopgap.objects.filter(station__in=list(station_ids), kind=StopgapKind.BATTERY_TIMER)
    for row in rows.order_by("pk"):
        found.setdefault(row.station_id, []).append((row.counted_from, row.removed_on))
    return found


def was_on_timer(timers: Sequence[Days], on: date) -> bool:
    """Return whether a timer had the coil off on a day.

    On the day of its fitting the ohms were mostly read before it: that is why it was fitted.
    """
    return any(since < on and (to is None or on < to) for since, to in timers)


def _warmth_at(place: Property) -> Callable[[Reading], Warmth]:
    return lambda reading: warmth_at(place, reading.taken_on, reading.temperature_f)


def expectations(stations: Iterable[Station]) -> tuple[dict[int, Expected], dict[int, float]]:
    """Return expected ohms and own last good readings of these stations, in few queries."""
    courses = courses_of(stations)
    good = {pk: c.own_last_good for pk, c in courses.items() if c.own_last_good is not None}
    return {pk: course.expected for pk, course in courses.items()}, good
