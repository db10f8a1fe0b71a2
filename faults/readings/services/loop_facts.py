"""What is known of a wire before it is read for a bring-home test, for many stations at once."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from math import hypot, isclose

from django.db.models import Q

from faults.cases.engines.stages import Stage
from faults.models import CLOSED_STAGES, Break, FaultStation, Reading, ReadingKind, Symptom
from faults.readings.engines.bring_home import Loop, Story, Why, expected_loop
from faults.readings.engines.loop_numbers import LoopNumbers
from sites.models import LengthSource, Spell, Station, Stopgap, WireLeg
from sites.stopgaps.engines.spells import Reason
from sites.wires.services.expected import Expected, expected_for
from sites.wires.services.reading_limits import thresholds
from sites.wires.services.warmth import warmth_at

BY_REASON = {Reason.WIRE.value: Why.WIRE, Reason.NOT_KNOWN.value: Why.NOT_KNOWN}
MENDED = frozenset({Stage.MENDED.value, Stage.PROVEN.value})


@dataclass(frozen=True)
class Known:
    """All that is known of one station's pair of wires, its own test besides.

    `reading` = its newest bring-home test of this time off central, on the wire as it is now.
    `is_mended` = its fault waits for the proof already.
    """

    station: Station
    stopgap: Stopgap | None
    off_since: date | None
    expected: Expected
    why: Why
    symptom: str = ""
    others_broken: int = 0
    others_sound: int = 0
    lengths: Sequence[tuple[float, str]] = ()
    reading: Reading | None = None
    is_mended: bool = False

    @property
    def missing(self) -> str:
        """What is not known, so that no ohms are expected; empty where they are."""
        if self.expected.serves > 1:
            return "one wire for several stations"
        return self.expected.missing if self.expected.wire_ohms is None else ""

    def story(self, on: date) -> Story:
        """Return what was known on a day."""
        days = (on - self.off_since).days if self.off_since else 0
        return Story(
            self.why,
            self.symptom,
            self.others_broken,
            self.others_sound,
            max(days, 0),
            self.expected.length_ft,
        )

    def loop(
        self, on: date, numbers: LoopNumbers, temperature_f: float | None = None
    ) -> Loop | None:
        """Return what the pair should read on a day, or None where that is not known."""
        if self.missing or not self.expected.wire_ohms or not self.expected.length_ft:
            return None
        size = numbers.loop_gauge_sd_share
        if not self.expected.is_common_known:
            # Half of the loop is a wire whose size nobody wrote down.
            size = hypot(size, numbers.loop_common_sd_share / 2)
        return expected_loop(
            ohms_at_20_c=self.expected.wire_ohms,
            length_ft=self.expected.length_ft,
            length_sd_ft=self._length_sd_ft(self.expected.length_ft, numbers),
            warmth=warmth_at(self.station.controller.property, on, temperature_f),
            size_sd_share=size,
        )

    def _length_sd_ft(self, length_ft: float, numbers: LoopNumbers) -> float:
        """Legs err by themselves; a run that only somebody named is a guess."""
        if not isclose(sum(feet for feet, _source in self.lengths), length_ft, rel_tol=1e-6):
            return numbers.loop_guessed_sd_share * length_ft
        return hypot(*(feet * numbers.length_sd_share(how) for feet, how in self.lengths))


@dataclass
class _Trench:
    """Who else lies in the legs of a wire."""

    lengths: list[tuple[float, str]] = field(default_factory=list)
    legs: set[int] = field(default_factory=set)


def known_of(stations: Iterable[Station]) -> list[Known]:
    """Return what is known of each, in their order; their controllers and properties are read."""
    wanted = list(stations)
    ids = [station.pk for station in wanted]
    expected = expected_for(ids)
    stopgaps = _stopgaps(ids)
    since = _off_since(ids)
    faults = _in_hand(ids)
    whys = _whys(wanted, stopgaps, expected, faults)
    trenches = _trenches(expected)
    others = _others(trenches)
    read = newest_loops(ids)
    found = []
    for station in wanted:
        pk, wire = station.pk, expected[station.pk].wire_id
        why, symptom = whys[pk]
        broken, sound = others.get(wire or 0, (set(), set()))
        reading = read.get(pk)
        is_of_now = reading is not None and _is_of_now(reading, since.get(pk), expected[pk])
        found.append(
            Known(
                station,
                stopgaps.get(pk),
                since.get(pk),
                expected[pk],
                why,
                symptom,
                len(broken - {pk}),
                len(sound - {pk}),
                trenches[wire].lengths if wire in trenches else (),
                reading if is_of_now else None,
                pk in faults and faults[pk].stage in MENDED,
            )
        )
    return found


def newest_loops(station_ids: Collection[int]) -> dict[int, Reading]:
    """Return the newest bring-home test of each station that has one."""
    rows = Reading.objects.filter(
        station__in=station_ids, kind=ReadingKind.LOOP, voided_on__isnull=True
    )
    return {row.station_id: row for row in rows.order_by("taken_on", "pk")}


def _is_of_now(reading: Reading, since: date | None, expected: Expected) -> bool:
    """A test of an earlier time off central, or of another wire, says nothing of now."""
    if reading.wire_id is not None and reading.wire_id != expected.wire_id:
        return False
    if expected.as_now_since is not None and reading.taken_on < expected.as_now_since:
        return False
    return since is None or reading.taken_on >= since


def _stopgaps(ids: Collection[int]) -> dict[int, Stopgap]:
    rows = Stopgap.objects.open().off_central().filter(station__in=ids).select_related("device")
    return {row.station_id: row for row in rows.order_by("pk")}


def _off_since(ids: Collection[int]) -> dict[int, date]:
    """The first day of the spell of each that has a stopgap."""
    rows = Stopgap.objects.open().off_central().filter(station__in=ids).order_by("pk")
    first = dict(rows.values_list("station_id", "counted_from"))
    for pk, from_on in (
        Spell.objects.open().filter(station__in=first).values_list("station_id", "from_on")
    ):
        first[pk] = min(first[pk], from_on)
    return first


def _in_hand(ids: Collection[int]) -> dict[int, FaultStation]:
    """The open fault of each, the oldest, as every page shows it."""
    rows = FaultStation.objects.filter(station__in=ids).exclude(stage__in=CLOSED_STAGES)
    rows = rows.select_related("fault").order_by("-fault__reported_on", "-pk")
    return {row.station_id: row for row in rows}


def _whys(
    stations: Sequence[Station],
    stopgaps: Mapping[int, Stopgap],
    expected: Mapping[int, Expected],
    in_hand: Mapping[int, FaultStation],
) -> dict[int, tuple[Why, str]]:
    """Why each is off, as far as that bears on its wire, and its fault's symptom."""
    breaks = _open_breaks({row.fault_id for row in in_hand.values()})
    found = {}
    for station in stations:
        row, stopgap = in_hand.get(station.pk), stopgaps.get(station.pk)
        why = BY_REASON.get(stopgap.reason, Why.ELSE) if stopgap else Why.ELSE
        if row is not None:
            hit = [wires for wires in breaks.get(row.fault_id, ()) if _hits(wires, expected, row)]
            if hit:
                why = Why.BREAK
            elif row.stage in MENDED or row.fault.is_outside_the_wire():
                why = Why.MENDED
            elif row.fault.symptom == Symptom.STAYS_ON:
                # Mostly its valve does not shut: nothing is said against the wire.
                why = Why.ELSE
            elif stopgap is None:
                why = Why.NOT_KNOWN
        found[station.pk] = why, row.fault.symptom if row else ""
    return found


def _hits(wires: set[int], expected: Mapping[int, Expected], row: FaultStation) -> bool:
    return not wires or expected[row.station_id].wire_id in wires


def _open_breaks(fault_ids: Collection[int]) -> dict[int, list[set[int]]]:
    """The wires of each break that nobody mended yet; no wires named = any of them."""
    rows = Break.objects.filter(fault__in=fault_ids, mended_on__isnull=True)
    found: dict[int, list[set[int]]] = defaultdict(list)
    for one in rows.order_by("pk").prefetch_related("wires"):
        found[one.fault_id].append({wire.pk for wire in one.wires.all()})
    return found


def _trenches(expected: Mapping[int, Expected]) -> dict[int | None, _Trench]:
    wires = {each.wire_id for each in expected.values() if each.wire_id is not None}
    rows = WireLeg.objects.filter(wire__in=wires).order_by("pk")
    found: dict[int | None, _Trench] = defaultdict(_Trench)
    for wire, leg, feet, source, is_surveyed in rows.values_list(
        "wire_id", "leg_id", "leg__length_ft", "leg__length_source", "leg__is_surveyed"
    ):
        how = source if is_surveyed else LengthSource.GUESSED.value
        found[wire].lengths.append((feet, how))
        found[wire].legs.add(leg)
    return found


def _others(trenches: Mapping[int | None, _Trench]) -> dict[int, tuple[set[int], set[int]]]:
    """Stations by each wire whose own wires lie in its legs: known broken, and known sound."""
    legs = set().union(*(each.legs for each in trenches.values())) if trenches else set()
    in_leg: dict[int, set[int]] = defaultdict(set)
    rows = WireLeg.objects.filter(leg__in=legs, wire__feeds__to_on__isnull=True)
    for leg, station in rows.values_list("leg_id", "wire__feeds__station_id"):
        if station is not None:
            in_leg[leg].add(station)
    stations = set().union(*in_leg.values()) if in_leg else set()
    broken, sound = _states(stations)
    found = {}
    for wire, trench in trenches.items():
        beside = set().union(*(in_leg[leg] for leg in trench.legs)) if trench.legs else set()
        found[wire or 0] = beside & broken, beside & sound
    return found


def _states(stations: Collection[int]) -> tuple[set[int], set[int]]:
    """Which are broken: read open, or off for their wire; which sound: read through, or running."""
    limit = thresholds().open_ohms
    read = {pk: row.value < limit for pk, row in newest_loops(stations).items()}
    rows = Stopgap.objects.open().off_central().filter(station__in=stations)
    off = dict(rows.values_list("station_id", "reason"))
    in_use = Station.objects.in_care().filter(pk__in=stations)
    on_ids = set(in_use.exclude(pk__in=off).values_list("pk", flat=True))
    dead = set(
        FaultStation.objects.filter(station__in=on_ids)
        .exclude(Q(stage__in=CLOSED_STAGES) | Q(stage__in=MENDED))
        .values_list("station_id", flat=True)
    )
    broken = {pk for pk, reason in off.items() if reason == Reason.WIRE.value} | dead
    broken = (broken - {pk for pk, goes in read.items() if goes}) | {
        pk for pk, goes in read.items() if not goes
    }
    sound = (on_ids - dead) | {pk for pk, goes in read.items() if goes}
    return broken, sound - broken
