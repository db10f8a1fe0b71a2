"""Where boxes are, by all that is known: their position, and ties to places that have one.

A tie is free text. One that begins with a length and names another point of the property, a
controller, or a latitude and longitude is a distance that can be counted with; all others are for
the eyes.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import cos, hypot, radians

from sites.ground.engines.circles import circle
from sites.ground.engines.fixing import Fixed, Position, Tie, UnableToFix, fix, sd_of_accuracy
from sites.models import Controller, Point, Property

FT_PER_DEGREE = 364_567.2
FT_PER_M = 1 / 0.3048
# What nobody wrote down: a phone's usual accuracy, and a tape pulled over bushes. Ours, no source.
USUAL_ACCURACY_FT, TAPE_SD_FT = 16.4, 0.4
SAID = 0.9
# A name of one letter is a word of its own in many sentences.
SHORTEST_NAME = 2

_LENGTH = re.compile(
    r"^\s*(\d+(?:[.,]\d+)?)\s*(ft|feet|foot|pies|'|m|metres|meters|metros)(?!\w)(?:\s*(\d+)\s*in\b)?",
    re.IGNORECASE,
)
_COORDINATES = re.compile(r"(-?\d{1,2}\.\d{4,})\s*[,;]\s*(-?\d{1,3}\.\d{4,})")


@dataclass(frozen=True)
class Mark:
    """A place with a name from which ties are taped."""

    name: str
    latitude: float
    longitude: float
    sd_ft: float


@dataclass(frozen=True)
class Found:
    """Where a point is. `error_ft` holds it nine times in ten.

    `ties` = how many ties were counted. `clash_ft` where they contradict each other: by how much
    the one to `clash_with` misses, "" = the position; then there is no place. `is_either` = two
    places are possible; there is one then, the likelier, only by a position.
    """

    latitude: float | None = None
    longitude: float | None = None
    error_ft: float = 0.0
    ties: int = 0
    clash_ft: float | None = None
    clash_with: str = ""
    is_either: bool = False


def find_points(points: Iterable[Point], place: Property) -> dict[int, Found]:
    """Return where each of a property's points is; one of which nothing is known is left out."""
    wanted = list(points)
    marks = _marks(place)
    found = {}
    for point in wanted:
        one = _found(point, marks)
        if one is not None:
            found[point.pk] = one
    return found


def _marks(place: Property) -> list[Mark]:
    """Points and controllers with a position of their own, the longest names first."""
    rows = Point.objects.filter(property=place, latitude__isnull=False, retired_on=None)
    marks = [
        Mark(row.name, row.latitude, row.longitude, _sd(row.accuracy_ft))
        for row in rows.order_by("pk")
        if row.latitude is not None and row.longitude is not None
    ]
    clocks = Controller.objects.in_care().filter(property=place, latitude__isnull=False)
    taken = {mark.name.casefold() for mark in marks}
    marks += [
        Mark(row.name, row.latitude, row.longitude, _sd(None))
        for row in clocks.order_by("pk")
        if row.latitude is not None and row.longitude is not None
        and row.name.casefold() not in taken
    ]  # fmt: skip
    return sorted(marks, key=lambda mark: -len(mark.name))


def _sd(accuracy_ft: float | None) -> float:
    return sd_of_accuracy(accuracy_ft or USUAL_ACCURACY_FT)


def _found(point: Point, marks: Sequence[Mark]) -> Found | None:
    taped = [one for words in (point.tie_1, point.tie_2) if (one := read_tie(words, marks, point))]
    own = point.latitude, point.longitude
    origin = own if point.latitude is not None else None
    if origin is None:
        if not taped:
            return None
        origin = taped[0][1].latitude, taped[0][1].longitude
    plane = _Plane(origin[0] or 0.0, origin[1] or 0.0)
    ties = [_tie(feet, mark, plane) for feet, mark in taped]
    position = None
    if point.latitude is not None and point.longitude is not None:
        position = Position(0.0, 0.0, _sd(point.accuracy_ft))
    try:
        return _told(fix(ties, position), ties, position, plane, [mark for _feet, mark in taped])
    except UnableToFix:
        return None


def _tie(feet: float, mark: Mark, plane: "_Plane") -> Tie:
    x, y = plane.feet(mark.latitude, mark.longitude)
    return Tie(x, y, feet, hypot(TAPE_SD_FT, mark.sd_ft))


def _told(
    fixed: Fixed,
    ties: Sequence[Tie],
    position: Position | None,
    plane: "_Plane",
    marks: Sequence[Mark],
) -> Found:
    if fixed.is_contradiction:
        worst = "" if fixed.worst_tie is None else marks[fixed.worst_tie].name
        return Found(ties=len(marks), clash_ft=fixed.worst_ft, clash_with=worst)
    if fixed.mirror is not None:
        return Found(ties=len(marks), is_either=True)
    around = circle(fixed, ties, position, SAID)
    latitude, longitude = plane.degrees(fixed.x, fixed.y)
    is_either = around.rival is not None
    return Found(latitude, longitude, around.radius_ft, len(marks), is_either=is_either)


@dataclass(frozen=True)
class _Plane:
    """Feet east and north of a place; good to an inch over a property."""

    latitude: float
    longitude: float

    @property
    def _narrow(self) -> float:
        return FT_PER_DEGREE * cos(radians(self.latitude))

    def feet(self, latitude: float, longitude: float) -> tuple[float, float]:
        """Return feet east and north."""
        east = (longitude - self.longitude) * self._narrow
        return east, (latitude - self.latitude) * FT_PER_DEGREE

    def degrees(self, x: float, y: float) -> tuple[float, float]:
        """Return latitude and longitude."""
        return self.latitude + y / FT_PER_DEGREE, self.longitude + x / self._narrow


def read_tie(words: str, marks: Sequence[Mark], point: Point) -> tuple[float, Mark] | None:
    """Return the feet of a tie and the mark that it names, or None where it is for the eyes."""
    begins = _LENGTH.match(words)
    if begins is None:
        return None
    feet = float(begins[1].replace(",", "."))
    if begins[2].casefold().startswith("m"):
        feet *= FT_PER_M
    feet += float(begins[3] or 0) / 12
    mark = _mark_in(words[begins.end() :], marks, point)
    return None if mark is None or feet <= 0 else (feet, mark)


def _mark_in(words: str, marks: Sequence[Mark], point: Point) -> Mark | None:
    if given := _COORDINATES.search(words):
        return Mark(given[0], float(given[1]), float(given[2]), _sd(None))
    for mark in marks:
        if mark.name.casefold() == point.name.casefold() or len(mark.name) < SHORTEST_NAME:
            continue
        if re.search(rf"(?<!\w){re.escape(mark.name)}(?![\w-])", words, re.IGNORECASE):
            return mark
    return None
