"""Everything that a search finds, in groups."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from django.db.models import Q

from faults.access import faults_for
from reports.search.engines.asked import Asked
from reports.search.services.named import Kind, Row, found, near_words, nearly
from reports.search.services.places import Place, Places, keys
from sites.kernel.access import properties_where, stations_for
from sites.kernel.engines.roles import Action
from sites.models import Point, User, Wire

SHOWN = 6


@dataclass(frozen=True)
class Hit:
    """One thing that was found: what it is called, and where it is."""

    ref: str
    name: str
    where: str = ""


@dataclass
class Group:
    """Things of one kind, the best first; `has_more` where not all are shown."""

    name: str
    hits: list[Hit] = field(default_factory=list)
    has_more: bool = False


def find_everything(user: User, text: str) -> list[Group]:
    """Return what the text finds among what the user may see, as typed, else nearly so."""
    asked = Asked.read(text)
    if not asked.words:
        return []
    places = Places(user)
    groups = [_places(places, asked), _stations(user, places, asked)]
    groups = _merged([*groups, *_by_names(user, places, asked)])
    if not any(group.hits for group in groups):
        with near_words():
            groups = [_group(kind, nearly(kind, kind.rows, asked.words)) for kind in kinds(user)]
    return [group for group in groups if group.hits]


def kinds(user: User) -> list[Kind]:
    """Return the kinds that have names of their own, limited to what the user may see."""
    of_place = properties_where(user, Action.SEE_REGISTER, "property")
    in_care = Q(property__retired_on__isnull=True, retired_on__isnull=True)
    place = ("property__code",)
    stations = stations_for(user).in_care().order_by()
    points = Point.objects.filter(of_place, in_care)
    wires = Wire.objects.filter(of_place, in_care)
    name, colour = ("name",), ("colour",)
    return [
        Kind("stations", stations, name, "controller__property", _OF_STATION),
        Kind("points", points, name, "property", place, short=name),
        Kind("wires", wires, name + colour, "property", place, name, of_known_words=colour),
        Kind("faults", faults_for(user), ("key", "summary"), "property", place, short=("key",)),
    ]


_OF_STATION = ("number", "controller__name", "controller__property__code")


def _places(places: Places, asked: Asked) -> Group:
    hits = [_hit_of_place(each) for each in places.named(asked.words)]
    return Group("properties", hits[:SHOWN], len(hits) > SHOWN)


def _hit_of_place(place: Place) -> Hit:
    name = f"{place.code} · {place.name}" if place.name else place.code
    return Hit(place.ref, name, place.client)


def _stations(user: User, places: Places, asked: Asked) -> Group:
    """Stations by "controller:number", with the property before it or without."""
    condition = Q()
    for each in asked.numbered():
        one = Q(controller__name__iexact=each.controller, number=each.number)
        if each.place:
            at = keys(places.named(each.place))
            one &= Q(controller__property__in=at)
        condition |= one
    if not condition:
        return Group("stations")
    rows = stations_for(user).in_care().filter(condition)
    kind = Kind("stations", rows, ("name",), "controller__property", _OF_STATION)
    in_order = rows.order_by("controller__property__code", "controller__name", "number", "pk")
    hits = [_hit(kind, row) for row in in_order.values("ref", "name", *_OF_STATION)[: SHOWN + 1]]
    return Group("stations", hits[:SHOWN], len(hits) > SHOWN)


def _by_names(user: User, places: Places, asked: Asked) -> list[Group]:
    """By name anywhere; with a property's words before it, on that property."""
    at, rest = places.leading(asked.words)
    groups = []
    for kind in kinds(user):
        rows = found(kind, kind.rows, asked.words)
        if not rows and at and rest:
            rows = found(kind, kind.at(keys(at)), rest)
        groups.append(_group(kind, rows, asked.words))
    return groups


def _group(kind: Kind, rows: Sequence[Row], words: Sequence[str] = ()) -> Group:
    best = sorted(rows, key=lambda row: _rank(kind, row, words))
    return Group(kind.name, [_hit(kind, row) for row in best[:SHOWN]], len(rows) > SHOWN)


def _rank(kind: Kind, row: Row, words: Sequence[str]) -> tuple[object, ...]:
    """What begins as typed comes first, then the shortest name: it says little else."""
    name = str(row[kind.columns[0]]).casefold()
    return not name.startswith(" ".join(words)), len(name), name, row["ref"]


def _hit(kind: Kind, row: Row) -> Hit:
    if kind.name == "stations":
        name = f"{row['controller__name']}:{row['number']} {row['name']}".strip()
        return Hit(row["ref"], name, row["controller__property__code"])
    words = " · ".join(str(row[column]) for column in kind.columns if row[column])
    return Hit(row["ref"], words[:120], row["property__code"])


def _merged(groups: Sequence[Group]) -> list[Group]:
    """Stations come by number and by name: those by number first, each once."""
    merged: dict[str, Group] = {}
    for group in groups:
        into = merged.setdefault(group.name, Group(group.name))
        known = {hit.ref for hit in into.hits}
        into.hits += [hit for hit in group.hits if hit.ref not in known]
        into.has_more |= group.has_more or len(into.hits) > SHOWN
        del into.hits[SHOWN:]
    return list(merged.values())
