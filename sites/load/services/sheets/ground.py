"""Sheets points and legs: where wires can be reached, and the ground between."""

from dataclasses import dataclass, field
from typing import Self

from django.db.models import Model
from django.utils.translation import gettext as _

from sites.cells.engines.measures import DEPTH, LENGTH
from sites.cells.services.columns import Choice, Flag, Measure, Text, words_for
from sites.load.services.book import ByEnds, Named, Shelf, named
from sites.load.services.identity import Identity
from sites.load.services.load import Load, Notes, PlannedKind
from sites.load.services.rows import Row, Sheet
from sites.load.services.sheets.common import LATITUDE, LONGITUDE, NOTES, PROPERTY, REF
from sites.models import Cover, Leg, LengthSource, Point, PointKind, Property

DEPTH_COLUMN = Measure(
    "depth", also="depth below ground|buried at|profundidad", attribute="depth_in", dimension=DEPTH
)

# Only exports say it; what an office lists has been looked at.
SURVEYED = Flag("surveyed", attribute="is_surveyed")

POINT_COLUMNS = (
    *(REF, PROPERTY),
    Text("point", also="point name|box|box name|box no|id|punto|caja", required=True, name=True,
         longest=60, shows="name"),
    Choice(
        "kind",
        also="point kind|type|box type|tipo",
        attribute="kind",
        words=words_for(
            [kind.value for kind in PointKind],
            controller="clock|pedestal",
            splice_box="splice|junction|junction box|pull box|splices",
            valve_box="valve|valves|manifold",
        ),
    ),
    *(LATITUDE, LONGITUDE),
    Measure("accuracy", also="gps accuracy|position accuracy", attribute="accuracy_ft",
            dimension=LENGTH),
    Text("lid", also="lid type|cover type", attribute="lid", longest=60),
    DEPTH_COLUMN,
    Text("tie 1", also="tie|tie1|first tie", attribute="tie_1"),
    Text("tie 2", also="tie2|second tie", attribute="tie_2"),
    NOTES,
    SURVEYED,
)  # fmt: skip

LEG_COLUMNS = (
    *(REF, PROPERTY),
    Text("leg", also="leg label|leg name|label|run|tramo", name=True, longest=60,
         shows="label"),
    Text("from point", also="from|start|from box|desde", required=True, name=True, longest=60,
         shows="from_point.name"),
    Text("to point", also="to|end|to box|hasta", required=True, name=True, longest=60,
         shows="to_point.name"),
    Measure("length", also="leg length|distance|longitud", required=True, attribute="length_ft",
            dimension=LENGTH),
    Choice(
        "length source",
        also="source|how measured",
        attribute="length_source",
        words=words_for(
            [source.value for source in LengthSource],
            measured="wheel|tape|measured wheel",
            paced="pacing|steps",
            scaled="plan|from plan|map",
            guessed="guess|estimate|estimated|est",
        ),
    ),
    DEPTH_COLUMN,
    Choice(
        "cover",
        also="ground cover|surface",
        attribute="cover",
        words=words_for(
            [cover.value for cover in Cover],
            turf="grass|lawn",
            planting="bed|shrubs|shrub bed|planter",
            paving="concrete|sidewalk|pavement|hardscape",
            road="asphalt|street|parking",
            bare="dirt|soil|none",
        ),
    ),
    Flag("conduit", also="in conduit|pipe|sleeve", attribute="in_conduit"),
    NOTES,
    SURVEYED,
)  # fmt: skip


Counts = dict[frozenset[Identity], int]


@dataclass
class LegNotes(Notes):
    """The highest running number of the legs from one point to another, in this direction."""

    numbers: dict[tuple[Identity, Identity], int] = field(default_factory=dict)

    @classmethod
    def begin(cls, load: Load) -> Self:
        """Read the numbers of the legs that are known."""
        notes = cls()
        for leg in load.book.legs.by_ref.values():
            ends = Identity(leg.from_point), Identity(leg.to_point)
            notes.numbers[ends] = max(notes.numbers.get(ends, 0), leg.running_number)
        return notes

    def next_number(self, start: Point, end: Point) -> int:
        """Return the number of one more leg."""
        ends = Identity(start), Identity(end)
        self.numbers[ends] = self.numbers.get(ends, 0) + 1
        return self.numbers[ends]


def leg_name(leg: Leg | None) -> str:
    """Return how other sheets name a leg: by its reference where it has no label.

    Empty where the sheet of legs has no such leg; its points must have been read with it.
    """
    if leg is None or leg.retired_on or leg.from_point.retired_on or leg.to_point.retired_on:
        return ""
    return leg.label or leg.ref


def standing_name(point: Point | None) -> str:
    """Return the name of a point that is not retired, as other sheets give it."""
    return point.name if point and not point.retired_on else ""


def plan_points(load: Load, sheet: Sheet) -> None:
    """Plan the points."""

    def key(row: Row) -> Named | None:
        place = load.property_of(row)
        return named(place, row.get("point")) if place else None

    for row, known, found in load.matched(sheet, load.book.points, key):
        place = load.property_of(row)
        if place is None or load.is_elsewhere(row, known, place):
            continue
        point = known or _new_point(load, place, row.get("point"), found)
        what = f"{place.code} {point.name}"
        if known is None:
            row.add(what)
            _ask_kind(row)
        elif not point.is_surveyed and not row.has("surveyed"):
            load.work.change(point, "is_surveyed", True)
            row.change(what, _("surveyed"), _("no"), _("yes"))
        load.put(row, point, "point", row.get("point"), what=what, to="name")
        load.copy(row, point, what)
        if (point.latitude is None) != (point.longitude is None):
            row.problem(
                "latitude" if point.latitude is None else "longitude",
                _("A position needs latitude and longitude. Fill in both, or neither."),
            )


def _ask_kind(row: Row) -> None:
    """A list of positions moves known points; what a new one is, only people know."""
    if not row.get("kind"):
        row.problem(
            "kind",
            _("This point is new here. Say what it is: controller, splice box or valve box."),
        )


def _new_point(load: Load, place: Property, name: str, key: Named) -> Point:
    point = Point(property=place, name=name)
    load.work.create(point)
    load.book.points.put(point, key)
    return point


def plan_legs(load: Load, sheet: Sheet) -> None:
    """Plan the legs: by label, else by their two points and a running number."""
    shelf = _legs_by_ends(load)
    counts: Counts = {}

    def key(row: Row) -> Named | ByEnds | None:
        place = load.property_of(row)
        start = _end(load, row, place, "from point")
        end = _end(load, row, place, "to point")
        if place is None or start is None or end is None:
            return None
        if start is end:
            row.problem("to point", _("A leg joins two different points. Correct one of them."))
            return None
        if label := row.get("leg"):
            return named(place, label)
        return _next_between(start, end, counts)

    for row, known, found in load.matched(sheet, shelf, key):
        place = load.property_of(row)
        start = _end(load, row, place, "from point")
        end = _end(load, row, place, "to point")
        if place is None or start is None or end is None or load.is_elsewhere(row, known, place):
            continue
        label = row.get("leg") or ""
        leg = known or new_leg(load, place, start, end, label=label)
        shelf.put(leg, found)
        what = f"{place.code} {label or f'{start.name} – {end.name}'}"
        if known is None:
            row.add(what)
        _plan_ends(load, row, leg, start, end, what)
        if label:
            load.put(row, leg, "leg", label, what=what, to="label")
        load.copy(row, leg, what)


def new_leg(load: Load, place: Property, start: Point, end: Point, *, label: str) -> Leg:
    """Make a leg between two points, under the next running number of these two."""
    leg = Leg(
        property=place,
        label=label,
        from_point=start,
        to_point=end,
        running_number=load.notes(LegNotes).next_number(start, end),
        length_ft=0.0,
    )
    load.work.create(leg)
    return leg


def _legs_by_ends(load: Load) -> Shelf[Leg, Named | ByEnds]:
    """The shelf of labelled legs, with those that have no label added by their ends."""
    shelf = load.book.legs
    counts: Counts = {}
    for leg in shelf.by_ref.values():
        if not leg.label:
            shelf.put(leg, _next_between(leg.from_point, leg.to_point, counts))
    return shelf


def _next_between(start: Point, end: Point, counts: Counts) -> ByEnds:
    """The key of one more leg between two points, whichever way round."""
    ends = frozenset({Identity(start), Identity(end)})
    counts[ends] = counts.get(ends, 0) + 1
    return ends, counts[ends]


def _end(load: Load, row: Row, place: Property | None, name: str) -> Point | None:
    text = row.get(name)
    if place is None or text is None:
        return None
    return point_named(load, row, place, name, text)


def point_named(load: Load, row: Row, place: Property, name: str, text: str) -> Point | None:
    """Return a point of the property; one that is not there is a problem."""
    found = load.book.points.find(named(place, text))
    if found is None:
        row.problem(
            name,
            _("%(place)s has no point '%(text)s'. Correct it, or add it to the sheet of points.")
            % {"place": place.code, "text": text},
        )
    return found


def plan_point(
    load: Load, row: Row, place: Property, record: Model, name: str, *, what: str
) -> Point | None:
    """Return the point of a record: the one that a row names, none where it erases it."""
    attribute = name.replace(" ", "_")
    point: Point | None = getattr(record, attribute)
    text = row.get(name)
    if text is None and not row.erases(name):
        return point
    found = point_named(load, row, place, name, text) if text else None
    if text and found is None:
        return point
    load.refer(row, record, name, found, what=what)
    return found


def _plan_ends(load: Load, row: Row, leg: Leg, start: Point, end: Point, what: str) -> None:
    """A leg keeps the direction in which it was first written; other ends are a change."""
    if {Identity(leg.from_point), Identity(leg.to_point)} == {Identity(start), Identity(end)}:
        return
    load.refer(row, leg, "from point", start, what=what)
    load.refer(row, leg, "to point", end, what=what)


POINTS = PlannedKind(
    "points",
    POINT_COLUMNS,
    plan=plan_points,
    also="point|boxes|box list|valve boxes|splice boxes|puntos",
    model=Point,
)
LEGS = PlannedKind(
    "legs",
    LEG_COLUMNS,
    plan=plan_legs,
    also="leg|wire runs|runs|trenches|tramos",
    model=Leg,
)
