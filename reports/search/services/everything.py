"""Everything that a search finds, in groups."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import partial

from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from faults.access import faults_for, jobs_for, notices_for
from faults.models import JobKind
from reports.search.engines.asked import Asked
from reports.search.services.named import Kind, Row, found, near_words, nearly
from reports.search.services.places import Place, Places, keys
from sites.kernel.access import devices_for, properties_where, stations_for
from sites.kernel.engines.roles import Action
from sites.kernel.links import page_of
from sites.models import Contact, Point, Property, User, Wire

SHOWN = 6
TITLES = {
    "properties": _("Properties"),
    "stations": _("Stations"),
    "points": _("Points"),
    "wires": _("Wires"),
    "faults": _("Faults"),
    "timers": _("Battery timers"),
    "contacts": _("Contacts"),
    "jobs": _("Open jobs"),
    "notices": _("Notices"),
}
# A kind that has no page of its own is shown on its property's.
PAGES = {
    "properties": "reports:property",
    "stations": "reports:station",
    "points": "sites:point",
    "wires": "sites:wire",
    "faults": "faults:fault",
    "timers": "sites:device",
    "contacts": "sites:property_contacts",
    "jobs": "faults:job",
    "notices": "faults:notice",
}


@dataclass(frozen=True)
class Hit:
    """One thing that was found: what it is called, where it is, and its page.

    `place` is the reference of its property.
    """

    ref: str
    name: str
    where: str = ""
    url: str = ""
    place: str = ""


@dataclass
class Group:
    """Things of one kind, the best first; `has_more` where not all are shown."""

    name: str
    hits: list[Hit] = field(default_factory=list)
    has_more: bool = False

    @property
    def title(self) -> str:
        """What its things are called."""
        return str(TITLES[self.name])


def find_everything(
    user: User, text: str, *, on: Property | None = None, places: Places | None = None
) -> list[Group]:
    """Return what the text finds among what the user may see, as typed, else nearly so.

    Args:
        on: only what belongs to this property.
        places: the user's properties, where they were read already.
    """
    asked = Asked.read(text)
    if not asked.words:
        return []
    places = places or Places(user)
    of_kinds = kinds(user)
    if on is not None:
        places.keep(on)
        of_kinds = [replace(kind, rows=kind.at([on.pk])) for kind in of_kinds]
    groups = [_places(places, asked), _stations(of_kinds[0], places, asked)]
    groups = _merged([*groups, *_by_names(of_kinds, places, asked)])
    if not any(group.hits for group in groups):
        with near_words():
            groups = [_group(kind, nearly(kind, kind.rows, asked.words)) for kind in of_kinds]
    return [group for group in groups if group.hits]


def places_of(groups: Sequence[Group]) -> list[Hit]:
    """Return the properties on which things were found, so that one can narrow to one of them."""
    of_things = [hit for group in groups if group.name != "properties" for hit in group.hits]
    found = {hit.place: Hit(hit.place, hit.where) for hit in of_things}
    return sorted(found.values(), key=lambda hit: hit.name) if len(found) > 1 else []


def kinds(user: User) -> list[Kind]:
    """Return the kinds that have names of their own, limited to what the user may see.

    Stations come first. Of jobs those are found that are planned or under way.
    """
    of_place = properties_where(user, Action.SEE_REGISTER, "property")
    in_care = Q(property__retired_on__isnull=True, retired_on__isnull=True)
    place = ("property__code", "property__ref")
    cared_for = Q(property__retired_on__isnull=True)
    contacts = Contact.objects.filter(
        properties_where(user, Action.SEE_CONTACTS, "property"), cared_for, ended_on__isnull=True
    )
    open_jobs = jobs_for(user).open().filter(cared_for)
    stations = stations_for(user).in_care().order_by()
    points = Point.objects.filter(of_place, in_care)
    wires = Wire.objects.filter(of_place, in_care)
    name, colour, key = ("name",), ("colour",), ("key",)
    of_contact = ("name", "phone", "email")
    of_job = ("kind", "fault__key", "crew__name", "notes")
    of_place_ = partial(Kind, to_property="property", shown=place)
    return [
        Kind("stations", stations, name, "controller__property", _OF_STATION),
        of_place_("points", points, name, short=name),
        of_place_("wires", wires, name + colour, short=name, of_known_words=colour),
        of_place_("faults", faults_for(user), ("key", "summary"), short=key),
        of_place_("timers", devices_for(user).filter(cared_for), name, short=name),
        of_place_("contacts", contacts, of_contact, ref="property__ref"),
        of_place_("jobs", open_jobs, of_job),
        of_place_("notices", notices_for(user), ("ticket", "area"), short=("ticket",)),
    ]


_OF_STATION = (
    "number",
    "controller__name",
    "controller__property__code",
    "controller__property__ref",
)


def _places(places: Places, asked: Asked) -> Group:
    hits = [_hit_of_place(each) for each in places.named(asked.words)]
    return Group("properties", hits[:SHOWN], len(hits) > SHOWN)


def _hit_of_place(place: Place) -> Hit:
    name = f"{place.code} · {place.name}" if place.name else place.code
    return Hit(place.ref, name, place.client, page_of(PAGES["properties"], place.ref), place.ref)


def _stations(kind: Kind, places: Places, asked: Asked) -> Group:
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
    in_order = kind.rows.filter(condition).order_by(
        "controller__property__code", "controller__name", "number", "pk"
    )
    hits = [_hit(kind, row) for row in in_order.values("ref", "name", *_OF_STATION)[: SHOWN + 1]]
    return Group("stations", hits[:SHOWN], len(hits) > SHOWN)


def _by_names(of_kinds: Sequence[Kind], places: Places, asked: Asked) -> list[Group]:
    """By name anywhere; with a property's words before it, on that property."""
    at, rest = places.leading(asked.words)
    groups = []
    for kind in of_kinds:
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
    where = str(row[f"{kind.to_property}__code"])
    return not name.startswith(" ".join(words)), len(name), name, where, row[kind.ref]


def _hit(kind: Kind, row: Row) -> Hit:
    ref, place = row[kind.ref], row[f"{kind.to_property}__ref"]
    where, url = row[f"{kind.to_property}__code"], page_of(PAGES[kind.name], ref)
    if kind.name == "stations":
        name = f"{row['controller__name']}:{row['number']} {row['name']}".strip()
        return Hit(ref, name, where, url, place)
    shown = [_shown(column, row[column]) for column in kind.columns if row[column]]
    return Hit(ref, " · ".join(shown)[:120], where, url, place)


def _shown(column: str, value: str) -> str:
    return str(JobKind(value).label).capitalize() if column == "kind" else value


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
