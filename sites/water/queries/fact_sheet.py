"""What is known and what is missing of a property's stations, a row each, for one sheet."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field

from django.db.models import Exists, Model, OuterRef, QuerySet

from sites.models import (
    Device,
    Meter,
    NotWritten,
    Property,
    Schedule,
    Spell,
    Station,
    StationFacts,
    StationKind,
    Stopgap,
    StopgapKind,
)

FACTS = ("area_sqft", "flow_gpm", "plant_factor", "efficiency")
COIL, SECOND_COIL = "coil_ohms", "second_coil_ohms"
OWN = ("run_length_ft", COIL, SECOND_COIL, "depends_on")
SCHEDULE = ("minutes", "days", "starts")
BATTERY = ("battery_changed_on", "battery_kind")
MAIN = "main_valve"
COLUMNS = (*FACTS, *SCHEDULE, *OWN, MAIN, *BATTERY)


@dataclass
class FactRow:
    """One station: what holds of it now, and what of it is missing."""

    station: Station
    facts: StationFacts | None = None
    schedule: Schedule | None = None
    spell: Spell | None = None
    stopgaps: list[Stopgap] = field(default_factory=list)
    never: set[str] = field(default_factory=set)
    has_mains: bool = False
    # Where another row asks about the same battery timer.
    battery_is_asked: bool = False

    @property
    def meter(self) -> Meter | None:
        """The meter of the spell that goes on."""
        return getattr(self.spell, "meter", None)

    @property
    def device(self) -> Device | None:
        """The battery timer that runs it now."""
        return self.standing.device if self.standing else None

    @property
    def parts(self) -> list[Model]:
        """The rows of the register that a cell of it may change."""
        parts = (self.station, self.facts, self.schedule, self.device, *self.stopgaps)
        return [each for each in parts if each is not None]

    @property
    def standing(self) -> Stopgap | None:
        """The stopgap that stands on it now."""
        return next((each for each in self.stopgaps if each.removed_on is None), None)

    def value(self, name: str) -> object:
        """Return what is known of a column; None or an empty text where nothing is."""
        if name in FACTS:
            return self.facts and getattr(self.facts, name)
        if name in SCHEDULE:
            return self.schedule and getattr(self.schedule, name)
        if name in BATTERY:
            return self.device and getattr(self.device, name)
        if name == MAIN:
            return self.standing and self.standing.main_valve
        found: object = getattr(self.station, name)
        return found

    def is_asked(self, name: str) -> bool:
        """Return whether the sheet asks for it: it is missing, and it can be there."""
        if self.value(name) not in (None, ""):
            return False
        if name == COIL:
            return True
        if name == SECOND_COIL:
            # Who reads the coil sees whether there are two. Where one is known and no second, there
            # is one: so expected ohms and searches take it.
            return self.value(COIL) is None
        if name in FACTS:
            return self.station.kind == StationKind.VALVE
        if name in SCHEDULE:
            return self.spell is not None and (name != "starts" or self.schedule is None)
        if name in BATTERY:
            return self.device is not None and not self.battery_is_asked
        if name == MAIN:
            return self.station.depends_on_id is not None and self.stands_behind_a_main()
        if name == "depends_on":
            return self.has_mains and self.station.kind == StationKind.VALVE
        # Where its valve has a place, the legs to it are measured.
        return self.station.valve_point_id is None

    def stands_behind_a_main(self) -> bool:
        """Return whether water may come through what stands in, if its master valve opens."""
        standing = self.standing
        return standing is not None and standing.kind != StopgapKind.SHUT_OFF


def sheet_stations(place: Property, *, only_off: bool) -> QuerySet[Station]:
    """Return the stations of the sheet in the order of its rows, what is off central first."""
    is_off = Exists(Spell.objects.filter(station=OuterRef("pk"), to_on=None))
    rows = Station.objects.in_care().filter(controller__property=place).annotate(is_off=is_off)
    rows = rows.select_related("controller__property", "depends_on__controller")
    if only_off:
        rows = rows.filter(is_off=True)
    return rows.order_by("-is_off", "controller__name", "number", "pk")


def mains_of(place: Property) -> list[Station]:
    """Return the master valves and pump starts of a property."""
    rows = Station.objects.in_care().filter(
        controller__property=place, kind__in=[StationKind.MASTER_VALVE, StationKind.PUMP_START]
    )
    return list(rows.select_related("controller").order_by("controller__name", "number", "pk"))


def fact_rows(stations: Sequence[Station], *, has_mains: bool) -> list[FactRow]:
    """Return the rows of these stations, in five queries for any number."""
    keys = [station.pk for station in stations]
    rows = {
        key: FactRow(each, has_mains=has_mains) for key, each in zip(keys, stations, strict=True)
    }
    for facts in StationFacts.objects.open().filter(station__in=keys).order_by("from_on", "pk"):
        rows[facts.station_id].facts = facts
    for schedule in Schedule.objects.open().filter(station__in=keys).order_by("from_on", "pk"):
        rows[schedule.station_id].schedule = schedule
    for spell in Spell.objects.filter(station__in=keys, to_on=None).select_related("meter"):
        rows[spell.station_id].spell = spell
    for said in NotWritten.objects.filter(station__in=keys).order_by("pk"):
        rows[said.station_id].never.add(said.fact)
    stopgaps = Stopgap.objects.off_central().filter(station__in=keys).select_related("device")
    for stopgap in stopgaps.order_by("-counted_from", "-pk"):
        rows[stopgap.station_id].stopgaps.append(stopgap)
    _ask_of_each_timer_once(rows.values())
    return list(rows.values())


def _ask_of_each_timer_once(rows: Collection[FactRow]) -> None:
    """One set runs several valves: the first of its rows asks."""
    seen: set[int] = set()
    for row in rows:
        if row.device is not None:
            row.battery_is_asked = row.device.pk in seen
            seen.add(row.device.pk)


def meters_known(place: Property) -> tuple[int, int]:
    """Return of how many of a property's stations off central the water is known, and of how many.

    What is still being worked out is not known yet.
    """
    meters = Meter.objects.filter(
        spell__to_on=None, spell__station__controller__property=place
    ).values_list("months_known", "months")
    known = [of_all == of_known for of_known, of_all in meters]
    return sum(known), len(known)
