"""Files of positions as sheets of the register: GeoJSON (RFC 7946) and GPX 1.1.

Points become rows of a sheet of points. A line that names the two points that it joins, as our
own map does, becomes a row of a sheet of legs; other shapes are left out. Altitudes are dropped.
A file that names no property is of the one whose code is the file's name.
"""

import json
import math
from collections.abc import Iterable, Mapping
from typing import Any

from sites.cells.engines.raw import Cell, RawRows, RawSheet
from sites.load.engines.files.limits import Count, Unfit

_NAMED = ("point", "name", "title", "label")
_PROPERTY = ("property code", "property_code", "property")
# What our map and others' say of a point or a leg, under the heading of the register's sheet.
_OF_POINTS = {"ref": "ref", "point_kind": "kind", "lid": "lid", "notes": "notes"}
_OF_POINTS |= {"accuracy_ft": "accuracy (ft)", "depth_in": "depth (in)"}
_OF_LEGS = {"ref": "ref", "leg": "leg", "from_point": "from point", "to_point": "to point"}
_OF_LEGS |= {"length_ft": "length (ft)", "depth_in": "depth (in)", "cover": "cover"}
# What our own map holds besides: places of things that have sheets of their own.
_OTHER_THINGS = frozenset({"station", "break", "controller"})


def is_geojson(content: bytes) -> bool:
    """Return whether bytes begin as a JSON object, which no list of cells does."""
    return content.lstrip(b"\xef\xbb\xbf \t\r\n")[:1] == b"{"


def is_gpx(content: bytes) -> bool:
    """Return whether bytes are XML whose first element is GPX's."""
    start = content[:2000].lstrip(b"\xef\xbb\xbf \t\r\n")
    return start.startswith((b"<?xml", b"<gpx")) and b"<gpx" in start


def read_geojson(name: str, filename: str, content: bytes, count: Count) -> list[RawSheet]:
    """Return a sheet of points and one of legs, those that hold anything.

    Raises:
        Unfit: it is no GeoJSON, or holds nothing that can be read.
    """
    try:
        found = json.loads(content.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        raise Unfit("damaged") from None
    points: list[dict[str, Cell]] = []
    legs: list[dict[str, Cell]] = []
    for feature in _features(found):
        said = feature.get("properties")
        said = said if isinstance(said, dict) else {}
        shape = feature.get("geometry")
        geometry: Mapping[str, Any] = shape if isinstance(shape, dict) else {}
        kind = geometry.get("type")
        if said.get("kind") in _OTHER_THINGS:
            continue
        if kind == "Point" and (place := _position(geometry.get("coordinates"))):
            points.append({**_of(said, _OF_POINTS), "point": _name(said), **place})
        elif kind == "LineString" and said.get("from_point") and said.get("to_point"):
            legs.append(_of(said, _OF_LEGS))
    return _sheets(name, filename, count, points=points, legs=legs)


def read_gpx(name: str, filename: str, content: bytes, count: Count) -> list[RawSheet]:
    """Return a sheet of points with the waypoints; tracks and routes are left out.

    Raises:
        Unfit: it is damaged, or holds no waypoint.
    """
    # Here, because hardly any file is one.
    from defusedxml import DefusedXmlException
    from defusedxml.ElementTree import ParseError, fromstring

    try:
        root = fromstring(content)
    except (ParseError, DefusedXmlException, ValueError):
        raise Unfit("damaged") from None
    points: list[dict[str, Cell]] = []
    for each in root.iter():
        if _plain(each.tag) != "wpt":
            continue
        if place := _position([each.get("lon"), each.get("lat")]):
            said = {_plain(child.tag): (child.text or "").strip() for child in each}
            kind = said.get("type", "")
            point = {"point": said.get("name", ""), "kind": kind, "notes": said.get("desc", "")}
            points.append({**point, **place})
    return _sheets(name, filename, count, points=points, legs=[])


def _features(found: Any) -> Iterable[Mapping[str, Any]]:
    if not isinstance(found, dict):
        raise Unfit("damaged")
    if found.get("type") == "Feature":
        return [found]
    features = found.get("features")
    if found.get("type") != "FeatureCollection" or not isinstance(features, list):
        raise Unfit("damaged")
    return [each for each in features if isinstance(each, dict)]


def _position(coordinates: Any) -> dict[str, Cell] | None:
    """Longitude comes first in GeoJSON; what is no number is no position."""
    try:
        longitude, latitude = (float(each) for each in coordinates[:2])
    except (TypeError, ValueError):
        return None
    if not (math.isfinite(longitude) and math.isfinite(latitude)):
        return None
    return {"latitude": latitude, "longitude": longitude}


def _of(said: Mapping[str, Any], names: Mapping[str, str]) -> dict[str, Cell]:
    found = {heading: _cell(said.get(name)) for name, heading in names.items()}
    code = next((said[name] for name in _PROPERTY if said.get(name)), "")
    return {"property code": _cell(code), **found}


def _name(said: Mapping[str, Any]) -> Cell:
    lower = {str(name).casefold(): value for name, value in said.items()}
    return _cell(next((lower[name] for name in _NAMED if lower.get(name)), ""))


def _cell(value: object) -> Cell:
    return value if isinstance(value, str | int | float | bool) else ""


def _plain(tag: object) -> str:
    return str(tag).rpartition("}")[2]


def _sheets(
    name: str, filename: str, count: Count, **rows: list[dict[str, Cell]]
) -> list[RawSheet]:
    """Return the kinds that hold anything; without any property named, it is the file's name."""
    found = []
    for kind, lines in rows.items():
        if not lines:
            continue
        for line in lines:
            line["property code"] = line.get("property code") or name
        headings = [each for each in lines[0] if any(line.get(each, "") != "" for line in lines)]
        cells: RawRows = [list(headings), *([line[each] for each in headings] for line in lines)]
        count.add_sheet(len(cells), len(headings))
        found.append(RawSheet(kind, filename, cells))
    if not found:
        raise Unfit("nothing")
    return found
