"""Judge readings: each against what it should be, and against the good ones before it.

`sites.services.expected` says what a station should read, from the legs of its wire, the common
and the coil. Only good readings set the limits of its chart. Limits are common practice; the
setting READING_LIMITS overrides them.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy

from faults.engines.control_chart import Verdict, judge_newest, since_restart
from faults.models import Reading, ReadingKind
from sites.engines.wire.judge import (
    Expectation,
    Judgement,
    judge_insulation,
    judge_ohms,
)
from sites.models import Station
from sites.services.expected import Expected, expected_for
from sites.services.reading_limits import thresholds

# A meter's own resolution and its leads: less than this is no change. Common practice.
LEAST_BAND_OHMS = 1.0

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
    def is_good(self) -> bool:
        """Whether it was judged, and lies within its band."""
        return self.judgement is Judgement.FINE

    @property
    def is_fine(self) -> bool:
        """Whether there is nothing to do."""
        return self.judgement in (Judgement.FINE, Judgement.NOT_KNOWN)


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
    def charted(self) -> list[Reading]:
        """The ohms since the last swap or new coil; an open wire has no point to draw."""
        rows = [reading for reading in self.readings if reading.kind == ReadingKind.OHMS]
        starts = [
            row.is_new_coil or (n > 0 and row.wire_id != rows[n - 1].wire_id)
            for n, row in enumerate(rows)
        ]
        limit = thresholds().open_ohms
        return [row for row in since_restart(rows, starts) if row.value < limit]

    @property
    def verdict(self) -> Verdict | None:
        """Whether the newest of the charted ohms creeps above what those before it set."""
        newest = self.newest(ReadingKind.OHMS)
        charted = self.charted
        if newest is None or not charted or newest[0] != charted[-1]:
            return None
        # One reading of a broken wire would widen the limits for ever, so only good ones set them.
        good = {r.pk for r, j in zip(self.readings, self.judged, strict=True) if j.is_good}
        values = [row.value for row in charted[:-1] if row.pk in good]
        return judge_newest([*values, newest[0].value], least_band=LEAST_BAND_OHMS)


def judge_in_order(readings: Sequence[Reading], expected: Expected) -> Course:
    """Judge a station's readings, oldest first.

    A swap of wire or a new coil restarts the series: earlier readings judge no later ones. A
    reading on a wire that no longer serves the station is not judged: that wire is not known.
    """
    judged: list[Judged] = []
    own: float | None = None
    for reading in readings:
        if reading.is_new_coil:
            own = None
        if reading.wire_id is not None and reading.wire_id != expected.wire_id:
            judged.append(Judged(Judgement.NOT_KNOWN, expected, None))
            continue
        judged.append(judge_value(reading.kind, reading.value, expected, own))
        if reading.kind == ReadingKind.OHMS and judged[-1].is_good:
            own = reading.value
    return Course(expected, readings, judged, own)


def courses_of(stations: Iterable[Station]) -> dict[int, Course]:
    """Return the judged readings of these stations, in few queries."""
    ids = [station.pk for station in stations]
    expected = expected_for(ids)
    readings: dict[int, list[Reading]] = {pk: [] for pk in ids}
    rows = Reading.objects.filter(station__in=ids, voided_on__isnull=True)
    for row in rows.order_by("taken_on", "pk"):
        readings[row.station_id].append(row)
    return {pk: judge_in_order(rows, expected[pk]) for pk, rows in readings.items()}


def expectations(stations: Iterable[Station]) -> tuple[dict[int, Expected], dict[int, float]]:
    """Return expected ohms and own last good readings of these stations, in few queries."""
    courses = courses_of(stations)
    good = {pk: c.own_last_good for pk, c in courses.items() if c.own_last_good is not None}
    return {pk: course.expected for pk, course in courses.items()}, good
