"""What was recorded outside a search and tells of its wire: earlier tests, mends, readings.

A station that a mend left dead is searched on with all that was tested before; ohms read on its
circuit, and a timer that opens its valve every night, count without being typed again.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Exists, Q, QuerySet, Subquery
from django.utils.translation import gettext as _

from faults.locating.services.line import SearchGround
from faults.locating.services.neighbours import STILL_DEAD
from faults.locating.services.said import said_words
from faults.models import (
    Break,
    Fault,
    KindOfTest,
    Reading,
    ReadingKind,
    Search,
    SearchReading,
    WalkNote,
    WalkResult,
)
from faults.readings.engines.bring_home import Verdict
from faults.readings.engines.loop_beliefs import Truth
from faults.readings.services.bring_home import judge_reading, reads_open
from faults.readings.services.judging import courses_of
from faults.readings.services.loop_facts import known_of as known_of_wires
from faults.readings.services.loop_facts import newest_loops
from faults.readings.services.loop_numbers import loop_numbers_now
from sites.models import MainValve, Station, StopgapKind
from sites.wires.engines.judge import Judgement

# What a judgement of the circuit's ohms is for the engine; others say nothing.
OHMS = {
    Judgement.OPEN: "open",
    Judgement.SHORT_ON_THE_WAY: "dead short",
    Judgement.SHORT_AT_VALVE: "coil low",
    Judgement.LOW: "coil low",
    Judgement.TWO_COILS: "coil low",
    Judgement.FINE: "as expected",
    Judgement.PARTIAL: "high",
}
# What ohms as with one of its coils open say: the wire is sound up to the other one, so that a
# coil, its lead or its splice is to blame; it was read at the controller.
ONE_COIL_OPEN = {"kind": "check", "check": "coil", "is_right": False, "by_ohms": True}


@dataclass(frozen=True)
class Known:
    """One thing that counts: as the engine reads it, in words, when; `row` if a search's test."""

    said: Mapping[str, Any]
    words: str
    at: datetime | None = None
    row: SearchReading | None = None


def known_of(
    fault: Fault,
    station: Station,
    search: Search | None,
    ground: SearchGround,
    rows: list[SearchReading],
) -> list[Known]:
    """Return all that counts, in the order in which it was seen.

    Args:
        rows: the search's own tests that were not voided.
    """
    own = [Known(row.said, "", row.taken_at, row) for row in rows]
    timed = [*_earlier_tests(fault, station, search, ground), *own, *_mends(fault, station, ground)]
    timed.sort(key=lambda each: each.at.timestamp() if each.at else 0.0)
    tested = [each.at for each in timed if each.said.get("kind") == KindOfTest.OHMS and each.at]
    zone = ZoneInfo(fault.property.time_zone)
    last_ohms = max((at.astimezone(zone).date() for at in tested), default=None)
    return [*_records(fault, station, ground, last_ohms), *timed]


def _earlier_tests(
    fault: Fault, station: Station, search: Search | None, ground: SearchGround
) -> list[Known]:
    """The tests of this fault's searches of the station before this one."""
    before = SearchReading.objects.filter(
        search__fault=fault, search__station=station, voided_at__isnull=True
    )
    if search is not None and search.pk is not None:
        before = before.filter(search__started_at__lt=search.started_at).exclude(search=search)
    return [Known(row.said, said_words(row.said, ground), row.taken_at) for row in before]


def _mends(fault: Fault, station: Station, ground: SearchGround) -> list[Known]:
    """Each break of this wire that was mended, while the station is still dead."""
    stages = [stage.value for stage in STILL_DEAD]
    rows = fault.breaks.filter(
        mended_on__isnull=False,
        leg__in=ground.legs,
        fault__stations__station=station,
        fault__stations__stage__in=stages,
    )
    found = []
    for row in rows.order_by("mended_on", "running_number").prefetch_related("wires"):
        wires = {wire.pk for wire in row.wires.all()}
        if not wires or ground.wire is None or ground.wire.pk in wires:
            words = _("mended and still dead: %s") % row
            found.append(Known({"kind": "mended", "leg": row.leg_id}, words, _mended_at(row)))
    return found


def _mended_at(row: Break) -> datetime | None:
    """When the mend was entered, but not later than the end of its day at the property."""
    if row.mended_on is None:
        return None
    zone = ZoneInfo(row.fault.property.time_zone)
    ends = datetime.combine(row.mended_on, time.max, zone)
    entered = row.history.filter(mended_on__isnull=False).order_by("history_date").first()
    return min(ends, entered.history_date) if entered else ends


def _records(
    fault: Fault, station: Station, ground: SearchGround, last_ohms: date | None
) -> list[Known]:
    """What readings and stopgaps say of the circuit since the fault was reported.

    Args:
        last_ohms: the day on which a search's test read its ohms last: the same ohms, kept as a
            reading on that day or before, are not counted twice.
    """
    at_controller = Q(point=None) | Q(point=ground.points[0])
    ohms = Reading.objects.filter(
        at_controller,
        station=station,
        kind=ReadingKind.OHMS,
        voided_on__isnull=True,
        taken_on__gte=fault.reported_on,
    )
    if last_ohms is not None:
        ohms = ohms.filter(taken_on__gt=last_ohms)
    timers = station.stopgaps.filter(kind=StopgapKind.BATTERY_TIMER, removed_on__isnull=True)
    waters = timers.exclude(main_valve=MainValve.SHUT)
    loops = Reading.objects.filter(station=station, kind=ReadingKind.LOOP, voided_on__isnull=True)
    note = WalkNote.objects.filter(station=station.depends_on_id, seen_on__gte=fault.reported_on)
    master = note.exclude(result=WalkResult.TIMER).order_by("-seen_on").values("result")[:1]
    there = Station.objects.filter(pk=station.pk).annotate(
        read=Exists(ohms),
        looped=Exists(loops),
        waters=Exists(waters),
        master=Subquery(master),
    )
    row = there.values_list("read", "looped", "waters", "master").get()
    has_ohms, has_loop, has_timer, of_master = row
    found = _ohms(station, ohms) if has_ohms else []
    if of_master is not None:
        found.append(_master(is_right=of_master == WalkResult.WORKS))
    found += _loop(station, fault) if has_loop else []
    if has_timer:
        words = _("a timer opens this valve: the valve and its water are in order")
        found.append(Known({"kind": "check", "check": "water", "is_right": True}, words))
    return found


def _master(*, is_right: bool) -> Known:
    """A check-up of the master valve or pump that this station depends on."""
    words = _("the master valve or pump was seen to work")
    if not is_right:
        words = _("the master valve or pump was seen not to work")
    return Known({"kind": "check", "check": "master", "is_right": is_right}, words)


# What a bring-home test is for the engine, by what the pair most likely is.
LOOPS = {
    Truth.SOUND: "as expected",
    Truth.OPEN: "open",
    Truth.SHORT: "dead short",
    Truth.POOR: "high",
}


def _loop(station: Station, fault: Fault) -> list[Known]:
    """The newest bring-home test since the fault was reported, where it says something."""
    row = newest_loops([station.pk]).get(station.pk)
    if row is None or row.taken_on < fault.reported_on:
        return []
    known = known_of_wires([station])[0]
    if known.reading is None:
        return []
    found = judge_reading(known, row, loop_numbers_now())
    truth = Truth.OPEN if reads_open(row.value) else None
    if found is not None and found.verdict is not Verdict.DOUBTFUL:
        is_sound = found.verdict is Verdict.SOUND
        truth = Truth.SOUND if is_sound else found.likeliest_damage
    if truth not in LOOPS:
        return []
    words = _("bring-home test of %s") % row.taken_on
    return [Known({"kind": "ohms", "ohms": LOOPS[truth], "joined": True}, words)]


def _ohms(station: Station, ohms: QuerySet[Reading]) -> list[Known]:
    """The newest of these ohms, if it could be judged."""
    newest = ohms.order_by("-taken_on", "-pk").values_list("pk", flat=True)[0]
    course = courses_of([station])[station.pk]
    pairs = zip(course.readings, course.judged, strict=True)
    reading, judged = next((row, judged) for row, judged in pairs if row.pk == newest)
    verdict = OHMS.get(judged.judgement)
    if verdict is None and judged.judgement is not Judgement.ONE_COIL_OPEN:
        return []
    words = _("%(ohms)s ohms at the controller on %(day)s: %(word)s") % {
        "ohms": f"{reading.value:g}",
        "day": reading.taken_on,
        "word": judged.word,
    }
    return [Known(ONE_COIL_OPEN if verdict is None else {"kind": "ohms", "ohms": verdict}, words)]
