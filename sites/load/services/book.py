"""The records that a load may touch, read once and found by key or by `ref`."""

from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Generic, TypeVar

from django.db.models import Model, Q
from django.utils.translation import gettext as _

from sites.cells.engines.plain_words import same_name
from sites.kernel.access import may_everywhere, properties_where
from sites.kernel.engines.roles import Action
from sites.load.services.identity import Identity, IdentityMap
from sites.models import (
    CentralState,
    Client,
    Controller,
    Device,
    Feed,
    Leg,
    Point,
    Property,
    Station,
    Stopgap,
    User,
    Wire,
)
from sites.runs.services import Progress

M = TypeVar("M", bound=Model)
K = TypeVar("K", bound=Hashable)
P = TypeVar("P", Controller, Point, Wire, Device, Leg)

Named = tuple[Identity, str]
Numbered = tuple[Identity, int]
# Points at either end, and which leg between these two.
ByEnds = tuple[frozenset[Identity], int]


def named(place: Property, name: str) -> Named:
    """Return the key of what one property calls by this name."""
    return Identity(place), same_name(name)


def numbered(controller: Controller, number: int) -> Numbered:
    """Return the key of a station."""
    return Identity(controller), number


class Shelf(Generic[M, K]):
    """Records of one model by natural key, and by `ref` where they have one."""

    def __init__(self, records: Iterable[M] = (), key: Callable[[M], K | None] | None = None):
        self.by_key: dict[K, M] = {}
        self.by_ref: dict[str, M] = {}
        self._key_of: IdentityMap[M, K] = IdentityMap()
        for record in records:
            found = key(record) if key else None
            if found is not None:
                self.put(record, found)
            if ref := getattr(record, "ref", ""):
                self.by_ref[ref] = record

    def find(self, key: K) -> M | None:
        """Return the record of this key."""
        return self.by_key.get(key)

    def put(self, record: M, key: K) -> None:
        """Keep a record under a key."""
        self.by_key[key] = record
        self._key_of[record] = key

    def release(self, record: M) -> None:
        """Free the key under which a record is kept."""
        key = self._key_of.pop(record, None)
        if key is not None and self.by_key.get(key) is record:
            del self.by_key[key]


@dataclass(frozen=True)
class Scope:
    """Whose properties may be touched; no user = the command line, which may touch all."""

    user: User | None = None

    @property
    def properties(self) -> Q:
        """The condition on properties."""
        return properties_where(self.user, Action.LOAD_REGISTER) if self.user else Q()

    @property
    def may_add_properties(self) -> bool:
        """Whether new properties and clients may be made."""
        return self.user is None or may_everywhere(self.user, Action.LOAD_REGISTER)


class Book:
    """Existing records of the properties that the files name; each model is read when needed.

    Records refer to the very objects of the other shelves, so that keys can be built from
    identities: a record that is not saved yet has no number of its own.
    """

    def __init__(self, scope: Scope, named: set[str], progress: Progress) -> None:
        self.scope, self._named, self._progress = scope, named, progress

    @cached_property
    def clients(self) -> Shelf[Client, str]:
        """Clients whose properties may be touched, and those without any for who may add."""
        condition = (
            Q()
            if self.scope.may_add_properties
            else Q(pk__in=[place.client_id for place in self._in_scope])
        )
        return Shelf(Client.objects.filter(condition), lambda client: same_name(client.name))

    @cached_property
    def properties(self) -> Shelf[Property, str]:
        """All properties in scope."""
        clients = {client.pk: client for client in self.clients.by_key.values()}
        for place in self._in_scope:
            place.client = clients[place.client_id]
        return Shelf(self._in_scope, lambda place: same_name(place.code))

    @cached_property
    def _in_scope(self) -> list[Property]:
        return list(Property.objects.filter(self.scope.properties).order_by("pk"))

    @cached_property
    def property_names(self) -> dict[str, list[Property]]:
        """Properties in scope by their full names, which need not be unique."""
        names: dict[str, list[Property]] = {}
        for place in self._in_scope:
            if place.name:
                names.setdefault(same_name(place.name), []).append(place)
        return names

    def called(self, name: str) -> list[Property]:
        """Return the properties, also planned ones, whose code or full name this is."""
        name = same_name(name)
        by_code = self.properties.find(name)
        by_name = self.property_names.get(name, [])
        return [*([by_code] if by_code and by_code not in by_name else []), *by_name]

    def keep_called(self, place: Property, name: str) -> None:
        """Let rows further down find a property by the name that this row gives it."""
        if place.name and place not in (
            known := self.property_names.setdefault(same_name(name), [])
        ):
            known.append(place)

    @cached_property
    def touched(self) -> dict[int, Property]:
        """The properties that the files name, by primary key."""
        return {
            place.pk: place
            for place in self._in_scope
            if {same_name(place.code), same_name(place.name), place.ref} & self._named
        }

    @cached_property
    def controllers(self) -> Shelf[Controller, Named]:
        """Controllers by (property, name)."""
        return self._of_property(Controller, lambda c: named(c.property, c.name))

    @cached_property
    def points(self) -> Shelf[Point, Named]:
        """Points by (property, name)."""
        return self._of_property(Point, lambda p: named(p.property, p.name))

    @cached_property
    def wires(self) -> Shelf[Wire, Named]:
        """Wires by (property, name)."""
        return self._of_property(Wire, lambda w: named(w.property, w.name))

    @cached_property
    def devices(self) -> Shelf[Device, Named]:
        """Battery timers by (property, label)."""
        return self._of_property(Device, lambda d: named(d.property, d.name))

    @cached_property
    def legs(self) -> Shelf[Leg, Named | ByEnds]:
        """Legs by (property, label) where they have one; all of them by `ref`."""
        shelf: Shelf[Leg, Named | ByEnds] = self._of_property(
            Leg, lambda leg: named(leg.property, leg.label) if leg.label else None
        )
        points = {point.pk: point for point in self.points.by_ref.values()}
        for leg in shelf.by_ref.values():
            leg.from_point = points[leg.from_point_id]
            leg.to_point = points[leg.to_point_id]
        return shelf

    @cached_property
    def stations(self) -> Shelf[Station, Numbered]:
        """Stations that are in use, by (controller, number)."""
        controllers = {c.pk: c for c in self.controllers.by_ref.values()}
        points = {point.pk: point for point in self.points.by_ref.values()}
        self._tell(Station)
        rows = list(
            Station.objects.filter(
                controller__property_id__in=self.touched, retired_on__isnull=True
            ).order_by("pk")
        )
        by_pk = {row.pk: row for row in rows}
        for row in rows:
            row.controller = controllers[row.controller_id]
            row.valve_point = points.get(row.valve_point_id or 0)
            if row.depends_on_id in by_pk:
                row.depends_on = by_pk[row.depends_on_id]
        return Shelf(rows, lambda s: numbered(s.controller, s.number))

    @cached_property
    def feeds(self) -> Shelf[Feed, Identity]:
        """The wire that feeds each station now, by station."""
        stations = {row.pk: row for row in self.stations.by_ref.values()}
        wires = {wire.pk: wire for wire in self.wires.by_ref.values()}
        rows = [
            row
            for row in self.rows_of(Feed, "station__controller__property_id")
            if row.to_on is None and row.station_id in stations
        ]
        for row in rows:
            row.station, row.wire = stations[row.station_id], wires[row.wire_id]
        return Shelf(rows, lambda feed: Identity(feed.station))

    @cached_property
    def states(self) -> IdentityMap[Controller, list[CentralState]]:
        """All central states of each controller, oldest first."""
        controllers = {c.pk: c for c in self.controllers.by_ref.values()}
        found: IdentityMap[Controller, list[CentralState]]
        found = IdentityMap((controller, []) for controller in controllers.values())
        for row in self.rows_of(CentralState, "controller__property_id"):
            row.controller = controllers[row.controller_id]
            found[row.controller].append(row)
        return found

    @cached_property
    def stopgaps(self) -> IdentityMap[Station, list[Stopgap]]:
        """All stopgaps of each station."""
        stations = {row.pk: row for row in self.stations.by_ref.values()}
        devices = {row.pk: row for row in self.devices.by_ref.values()}
        found: IdentityMap[Station, list[Stopgap]] = IdentityMap()
        for row in self.rows_of(Stopgap, "station__controller__property_id"):
            if row.station_id not in stations:
                continue
            row.station = stations[row.station_id]
            row.device = devices.get(row.device_id or 0)
            found.setdefault(row.station, []).append(row)
        return found

    def property_named(self, text: str) -> Property | None:
        """Return the property of this code, else the only one of this full name."""
        name = same_name(text)
        by_name = self.property_names.get(name, [])
        return self.properties.find(name) or (by_name[0] if len(by_name) == 1 else None)

    def rows_of(self, model: type[M], lookup: str) -> list[M]:
        """Return all rows of a model that belong to the touched properties."""
        self._tell(model)
        return list(
            model._default_manager.filter(**{f"{lookup}__in": list(self.touched)}).order_by("pk")
        )

    def _tell(self, model: type[Model]) -> None:
        name = str(model._meta.verbose_name_plural)
        self._progress.say(_("Reading what is known: %(what)s") % {"what": name})

    def _of_property(self, model: type[P], key: Callable[[P], K | None]) -> Shelf[P, K]:
        rows = self.rows_of(model, "property_id")
        for row in rows:
            row.property = self.touched[row.property_id]
        return Shelf(rows, key)
