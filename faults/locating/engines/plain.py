"""Lines, assumptions, tools, readings and options as plain JSON values, and back.

Points and legs are named by the identifiers of the caller: `Ids` holds those of a line,
in its order. Whatever cannot be read raises `UnusablePlain`, or the error of the object itself
(`UnusableLine`, `UnusableAssumptions`, `UnusableReading`); each says what was expected.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Neighbour
from faults.locating.engines.evidence import Reading
from faults.locating.engines.line import Box, Joint, Leg, Line
from faults.locating.engines.options import Option, Stand, Tools
from faults.locating.engines.plain_values import (
    Id,
    Ids,
    UnusablePlain,
    enum_from,
    flag_from,
    items_from,
    number_from,
    object_from,
    optional,
    text_from,
    written,
)
from faults.locating.engines.plain_words import ACTIONS, READINGS, STAND, read_tagged, write_tagged

# Goes up whenever the same search may give other figures. A search keeps the one it was made by.
ENGINE_VERSION = "10"

Plain = dict[str, Any]


@dataclass(frozen=True)
class PlainLine:
    """A line and the identifiers of its points and legs."""

    line: Line
    ids: Ids


def line_from(plain: object) -> PlainLine:
    """Read a line: its points, legs and boxes in order from the controller."""
    given = object_from(plain, "line")
    points = tuple(_id(each, "points") for each in items_from(given, "points"))
    legs = [object_from(each, "leg") for each in items_from(given, "legs")]
    boxes = [object_from(each, "box") for each in items_from(given, "boxes")]
    line = Line(tuple(_leg(each) for each in legs), tuple(_box(each) for each in boxes))
    if len(points) != len(legs) + 1:
        raise UnusablePlain(f"Expected {len(legs) + 1} points for the legs, got {len(points)}")
    ids = Ids(points, tuple(_id(leg.get("id"), "leg id") for leg in legs))
    for id_, box in zip(points[1:-1], boxes, strict=True):
        if box.get("id", id_) != id_:
            raise UnusablePlain(f"Expected box {id_} in this place, got {box['id']}")
    return PlainLine(line, ids)


def line_plain(line: Line, ids: Ids) -> Plain:
    """Write a line."""
    legs = [
        {"id": id_, **{each.name: getattr(leg, each.name) for each in fields(leg)}}
        for id_, leg in zip(ids.legs, line.legs, strict=True)
    ]
    boxes = [
        {
            "id": id_,
            "name": box.name,
            "joint": box.joint.value,
            "open_min": box.open_min,
            "hazard_factor": box.hazard_factor,
        }
        for id_, box in zip(ids.points[1:-1], line.boxes, strict=True)
    ]
    return {"points": list(ids.points), "legs": legs, "boxes": boxes}


def neighbour_from(plain: object) -> Neighbour:
    """Read another station: it runs or not, and the places of the legs that it shares."""
    given = object_from(plain, "neighbour")
    return Neighbour(
        flag_from(given.get("works"), "works"),
        _legs(given, "shares"),
        _legs(given, "common"),
        flag_from(given.get("is_on_ours", True), "is_on_ours"),
        flag_from(given.get("is_on_master", True), "is_on_master"),
    )


def neighbour_plain(neighbour: Neighbour) -> Plain:
    """Write another station."""
    return {
        "works": neighbour.works,
        "shares": sorted(neighbour.shares),
        "common": sorted(neighbour.common),
        "is_on_ours": neighbour.is_on_ours,
        "is_on_master": neighbour.is_on_master,
    }


def assumed_from(plain: object) -> Assumptions:
    """Read assumptions; a number that is not given keeps its default."""
    given = _known(plain, "assumed", Assumptions)
    return Assumptions(**{name: number_from(value, name) for name, value in given.items()})


def assumed_plain(assumed: Assumptions) -> Plain:
    """Write every assumption."""
    return {each.name: getattr(assumed, each.name) for each in fields(assumed)}


def tools_from(plain: object) -> Tools:
    """Read tools; one that is not given is as by default."""
    given = _known(plain, "tools", Tools)
    flags = {name: flag_from(value, name) for name, value in given.items() if name != "spare_min"}
    spare_min = optional(number_from)(given.get("spare_min"), "spare_min")
    if spare_min is not None and spare_min < 0:
        raise UnusablePlain(f"Expected spare_min >= 0, got {spare_min}")
    return Tools(spare_min=spare_min, **flags)


def tools_plain(tools: Tools) -> Plain:
    """Write all tools."""
    return {each.name: getattr(tools, each.name) for each in fields(tools)}


def stand_from(plain: object, ids: Ids) -> Stand:
    """Read where the technician stands: points by their identifiers."""
    return Stand(**STAND.read(object_from(plain, "stand"), ids, "stand"))


def reading_from(plain: object, ids: Ids, *, soil_is_dry: bool = False) -> Reading:
    """Read one reading by its kind. The soil is the search's: only levels of a tone heed it."""
    reading: Reading = read_tagged(READINGS, plain, ids, "kind", {"soil_is_dry": soil_is_dry})
    return reading


def action_plain(action: object, ids: Ids) -> Plain:
    """Write an action with its name."""
    return write_tagged(ACTIONS, action, ids, "action")


def option_plain(option: Option, ids: Ids) -> Plain:
    """Write a ranked option: its action and its figures."""
    figures = {name: getattr(option, name) for name in _FIGURES}
    return {"action": action_plain(option.action, ids), **figures}


_FIGURES = tuple(each.name for each in fields(Option) if each.name != "action")


def _leg(given: Mapping[str, Any]) -> Leg:
    figures = {
        name: number_from(given[name], name)
        for name in ("years", "faults", "hazard_factor", "tone_factor")
        if name in given
    }
    return Leg(
        text_from(given.get("name"), "name of a leg"),
        number_from(given.get("length_ft"), "length_ft"),
        is_guessed=flag_from(given.get("is_guessed", False), "is_guessed"),
        **figures,
    )


def _box(given: Mapping[str, Any]) -> Box:
    return Box(
        text_from(given.get("name"), "name of a box"),
        enum_from(Joint)(given.get("joint", Joint.NOT_KNOWN.value), "joint"),
        number_from(given.get("open_min", Box.open_min), "open_min"),
        number_from(given.get("hazard_factor", Box.hazard_factor), "hazard_factor"),
    )


def _legs(given: Mapping[str, Any], name: str) -> frozenset[int]:
    places = given.get(name, [])
    if not isinstance(places, list) or not all(type(each) is int for each in places):
        raise UnusablePlain(f"Expected a list of whole numbers as {name}, got {written(places)}")
    return frozenset(places)


def _id(value: object, what: str) -> Id:
    if isinstance(value, bool) or not isinstance(value, int | str):
        raise UnusablePlain(f"Expected a number or text as {what}, got {written(value)}")
    return value


def _known(plain: object, what: str, kind: type) -> Mapping[str, Any]:
    given = object_from(plain, what)
    names = {each.name for each in fields(kind)}
    for name in given:
        if name not in names:
            raise UnusablePlain(f"Expected a known name in {what}, got {written(name)}")
    return given
