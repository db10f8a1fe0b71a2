"""Compare a central list with the register as it stands now."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.db.models import QuerySet

from sites.cells.engines.plain_words import same_name
from sites.kernel.access import properties_for
from sites.kernel.engines.roles import Action
from sites.models import (
    Central,
    CentralList,
    Controller,
    Decision,
    Difference,
    ListedStation,
    Property,
    Station,
    Stopgap,
    User,
)

Key = tuple[int, str, int, str]
# These change the register, so that the difference is gone: they do not answer a later one.
PUT_RIGHT = frozenset({"ended", "held", "added"})


@dataclass(frozen=True)
class Line:
    """One difference. `stopgap` stands on the station now; `decision` is what was decided."""

    place: Property
    controller_name: str
    number: int
    difference: str
    station: Station | None = None
    stopgap: Stopgap | None = None
    controller: Controller | None = None
    decision: Decision | None = None

    @property
    def name(self) -> str:
        """How people name the station."""
        return f"{self.controller_name}:{self.number}"

    @property
    def key(self) -> Key:
        """What makes it the same difference in a later list."""
        return self.place.pk, same_name(self.controller_name), self.number, self.difference


@dataclass(frozen=True)
class Compared:
    """What came of a comparison."""

    lines: list[Line]
    places: list[Property]
    listed: int
    # Codes in the list that name none of the user's properties.
    foreign: dict[str, int]

    @property
    def open(self) -> list[Line]:
        """The lines about which nobody has decided."""
        return [line for line in self.lines if line.decision is None]


def compare(central: CentralList, user: User) -> Compared:
    """Return the differences on properties where the user may reconcile, in a settled order."""
    rows = list(central.rows.order_by("property_code", "controller_name", "number", "pk"))
    return _compared(rows, _places(central, rows, user))


def compare_at(central: CentralList, places: list[Property]) -> Compared:
    """Return the differences of a list on these properties, not asking who may see them."""
    rows = central.rows.order_by("property_code", "controller_name", "number", "pk")
    return _compared(list(rows), places)


def _compared(rows: list[ListedStation], places: list[Property]) -> Compared:
    by_code = {same_name(place.code): place for place in places}
    now = _Now(places)
    lines: list[Line] = []
    foreign: dict[str, int] = {}
    named: set[int] = set()
    for row in rows:
        place = by_code.get(same_name(row.property_code))
        if place is None:
            foreign[row.property_code] = foreign.get(row.property_code, 0) + 1
            continue
        station = now.stations.get((place.pk, same_name(row.controller_name), row.number))
        named |= {station.pk} if station else set()
        lines += now.listed(place, row, station)
    lines += now.not_listed(named)
    return Compared(sorted(lines, key=_order), places, len(rows), foreign)


def decided(places: Iterable[Property]) -> list[Decision]:
    """Return all decisions that stand on these properties."""
    rows = Decision.objects.filter(property__in=list(places)).select_related("property", "by")
    return list(rows.order_by("property__code", "controller_name", "number", "difference", "pk"))


def decisions_for(user: User) -> QuerySet[Decision]:
    """Return the decisions that a user may take back."""
    places = properties_for(user, Action.RECONCILE)
    return Decision.objects.filter(property__in=places).select_related("property")


def forget_what_changed(compared: Compared) -> None:
    """Drop decisions about differences that a new list does not show: a later one is new again.

    Decisions keep no history: what they did to the register has one.
    """
    standing = {line.key for line in compared.lines}
    for decision in decided(compared.places):
        if decision.decided in PUT_RIGHT or _key(decision) not in standing:
            decision.delete()


def _key(decision: Decision) -> Key:
    name = same_name(decision.controller_name)
    return decision.property_id, name, decision.number, decision.difference


def _order(line: Line) -> tuple[str, str, str, int]:
    return line.difference, line.place.code, line.controller_name, line.number


def _places(central: CentralList, rows: Iterable[ListedStation], user: User) -> list[Property]:
    """The property of the list, or all that it names."""
    places = properties_for(user, Action.RECONCILE).in_care().order_by("code", "pk")
    if central.property_id is not None:
        return list(places.filter(pk=central.property_id))
    codes = {same_name(row.property_code) for row in rows}
    return [place for place in places if same_name(place.code) in codes]


class _Now:
    """The register of some properties as it stands."""

    def __init__(self, places: list[Property]) -> None:
        self.places = {place.pk: place for place in places}
        clocks = Controller.objects.in_care().filter(property__in=places).order_by("pk")
        self.controllers = {(c.property_id, same_name(c.name)): c for c in clocks}
        stations = Station.objects.in_care().filter(controller__property__in=places)
        self.stations = {
            (s.controller.property_id, same_name(s.controller.name), s.number): s
            for s in stations.select_related("controller").order_by("pk")
        }
        off = Stopgap.objects.off_central().open()
        standing = off.filter(station__controller__property__in=places).order_by("pk")
        self.stopgaps = {each.station_id: each for each in standing}
        self.decisions = {
            _key(each): each for each in decided(places) if each.decided not in PUT_RIGHT
        }

    def listed(self, place: Property, row: ListedStation, station: Station | None) -> list[Line]:
        """Return the difference of a row, if there is one."""
        difference = self._difference(row, station)
        if difference is None:
            return []
        return [self._line(place, row.controller_name, row.number, difference, station)]

    def not_listed(self, named: set[int]) -> Iterator[Line]:
        """Yield stations that the list leaves out, though they are meant to be linked."""
        for station in self.stations.values():
            clock = station.controller
            if station.pk not in named and clock.central != Central.NOT_MEANT:
                place = self.places[clock.property_id]
                yield self._line(
                    place, clock.name, station.number, Difference.UNKNOWN_THERE, station
                )

    def _difference(self, row: ListedStation, station: Station | None) -> str | None:
        if station is None:
            return Difference.UNKNOWN_HERE.value
        if station.controller.central == Central.NOT_MEANT:
            return None
        is_off = station.pk in self.stopgaps
        if row.is_enabled is True and is_off:
            return Difference.ON_THERE.value
        # A station without a link is off here already, whatever central has in its program.
        has_link = station.controller.central != Central.LINK_LOST
        if row.is_enabled is False and not is_off and has_link:
            return Difference.OFF_THERE.value
        return None

    def _line(
        self, place: Property, name: str, number: int, difference: str, station: Station | None
    ) -> Line:
        key = (place.pk, same_name(name), number, str(difference))
        return Line(
            place=place,
            controller_name=name,
            number=number,
            difference=str(difference),
            station=station,
            stopgap=self.stopgaps.get(station.pk) if station else None,
            controller=self.controllers.get((place.pk, same_name(name))),
            decision=self.decisions.get(key),
        )
