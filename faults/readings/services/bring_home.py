"""What could come home without a dig: each station on a stopgap, its wire's chance, its test.

Office, phone, waits and searches ask here. A verdict fades: a wire that was sound a year ago may
have been struck since, so "sound" holds for as long as its chance stays where it is said from.
"""

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from faults.models import Reading
from faults.readings.engines.bring_home import (
    Loop,
    Outcome,
    Verdict,
    judge_loop,
    minutes_of,
    still_sound,
    verdict_of,
)
from faults.readings.engines.loop_beliefs import Truth
from faults.readings.engines.loop_numbers import LoopNumbers
from faults.readings.services.loop_facts import Known, known_of, newest_loops
from faults.readings.services.loop_numbers import loop_numbers_now
from sites.models import Property, Station, Stopgap
from sites.wires.services.reading_limits import thresholds


@dataclass(frozen=True)
class Home:
    """One station: what is known of its wire on a day, and what its newest test says."""

    known: Known
    numbers: LoopNumbers
    today: date

    @property
    def station(self) -> Station:
        """The station."""
        return self.known.station

    @property
    def stopgap(self) -> Stopgap | None:
        """What stands in."""
        return self.known.stopgap

    @property
    def reading(self) -> Reading | None:
        """Its newest test of this time off central."""
        return self.known.reading

    @property
    def is_open(self) -> bool:
        """Whether that test read over range."""
        return self.reading is not None and reads_open(self.reading.value)

    @cached_property
    def before(self) -> float:
        """How likely its wire is sound by all but the test."""
        return self.known.story(self.today).chance(self.numbers)

    @cached_property
    def outcome(self) -> Outcome | None:
        """What the test said on its day; None without one, or where no ohms are expected."""
        if self.reading is None:
            return None
        return judge_reading(self.known, self.reading, self.numbers)

    @cached_property
    def chance(self) -> float | None:
        """How likely its wire is sound today; None where a test cannot be judged."""
        if self.reading is None:
            return self.before
        if self.outcome is None:
            return 0.0 if self.is_open else None
        days = (self.today - self.reading.taken_on).days
        return self.outcome.chance * still_sound(self.known.expected.length_ft, days, self.numbers)

    @property
    def verdict(self) -> Verdict | None:
        """What is said of it today; None before it was read."""
        if self.reading is None:
            return None
        if self.chance is None:
            return Verdict.DOUBTFUL
        return verdict_of(self.chance, self.numbers)

    @property
    def is_sound(self) -> bool:
        """Whether it can return today."""
        return self.verdict is Verdict.SOUND

    @property
    def has_faded(self) -> bool:
        """Whether it was said to be sound on its day, and no longer is."""
        was = self.outcome is not None and self.outcome.verdict is Verdict.SOUND
        return was and not self.is_sound

    @property
    def short_ft(self) -> float | None:
        """How far away a short lies, where that is what it most likely is."""
        loop, out, row = self._loop, self.outcome, self.reading
        if loop is None or out is None or row is None or out.verdict is not Verdict.BROKEN:
            return None
        if out.likeliest_damage is not Truth.SHORT or self.is_open:
            return None
        return min(row.value / loop.ohms, 1.0) * loop.length_ft

    @cached_property
    def _loop(self) -> Loop | None:
        if self.reading is None:
            return self.known.loop(self.today, self.numbers)
        return self.known.loop(self.reading.taken_on, self.numbers, self.reading.temperature_f)

    @property
    def expected_ohms(self) -> float | None:
        """What the joined pair should read."""
        return None if self._loop is None else self._loop.ohms

    @property
    def expected_sd(self) -> float | None:
        """The standard error of that."""
        return None if self._loop is None else self._loop.sd

    @property
    def is_walked_unknown(self) -> bool:
        """Whether the walk to its valve is not counted, as nobody knows its length."""
        return self.known.expected.length_ft is None

    @property
    def minutes(self) -> float | None:
        """The minutes of work that are expected until it is home, or known not to come."""
        if self.chance is None:
            return None
        feet = self.known.expected.length_ft
        return minutes_of(self.chance, is_read=self.is_sound, length_ft=feet, numbers=self.numbers)

    @property
    def per_minute(self) -> float:
        """The chance of it at home per minute of that work; 0 where none is known."""
        return self.chance / self.minutes if self.chance and self.minutes else 0.0


def reads_open(ohms: float) -> bool:
    """Return whether a meter that shows this shows an open loop."""
    return ohms >= thresholds().open_ohms


def judge_reading(known: Known, reading: Reading, numbers: LoopNumbers) -> Outcome | None:
    """Return what a test says by what was known on its day, or None where no ohms are expected."""
    loop = known.loop(reading.taken_on, numbers, reading.temperature_f)
    if loop is None:
        return None
    return judge_loop(
        loop,
        known.story(reading.taken_on),
        numbers,
        None if reads_open(reading.value) else reading.value,
        apart_open=reading.is_open_apart,
        across_ohms=reading.across_ohms,
    )


def homes_of(
    stations: Iterable[Station], *, today: date | Callable[[Property], date]
) -> list[Home]:
    """Return each station with what could bring it home, in their order.

    Args:
        today: there, or what says it of a property, where they lie on several.
    """
    numbers = loop_numbers_now()
    return [
        Home(
            known,
            numbers,
            today if isinstance(today, date) else today(known.station.controller.property),
        )
        for known in known_of(stations)
    ]


def ranked(homes: Iterable[Home]) -> list[Home]:
    """Return them by the chance of one more at home per minute of work, the best first."""
    return sorted(homes, key=lambda home: (-home.per_minute, str(home.station), home.station.pk))


def sound_days(station_ids: Collection[int], *, today: date) -> dict[int, date]:
    """Return the day of the test by which each station's wire is sound today."""
    read = newest_loops(station_ids)
    if not read:
        return {}
    rows = Station.objects.filter(pk__in=read).select_related("controller__property")
    homes = homes_of(rows.order_by("pk"), today=today)
    return {
        home.station.pk: home.reading.taken_on
        for home in homes
        if home.reading is not None and home.verdict is Verdict.SOUND
    }
