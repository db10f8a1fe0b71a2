"""The ground as GeoJSON (RFC 7946), for mapping programs: points, legs, stations and breaks.

Positions are WGS 84, longitude first, as entered. What has no position is left out, and never
guessed: a leg needs both ends, a station the position of its valve's point. Only a break without
a position of its own is placed on the straight line between the ends of its leg, and says so.
"""

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from faults.access import breaks_for
from faults.models import Break
from sites.models import Leg, Point, Property, User
from sites.register.queries.stations import control_of

Feature = dict[str, Any]
DIGITS = 7  # a centimetre


def map_of(user: User, place: Property) -> Iterator[Feature]:
    """Yield the features of one property, points first.

    Queries: points, legs, breaks, those that may be opened, controllers, stations.
    """
    points = {
        point.pk: point
        for point in place.points.filter(retired_on__isnull=True).order_by("name", "pk")
        if point.latitude is not None
    }
    legs = list(place.legs.in_ground().select_related("from_point", "to_point").order_by("pk"))
    breaks = list(
        Break.objects.filter(leg__in=legs).select_related("from_point").order_by("found_on", "pk")
    )
    counts: dict[int, int] = {}
    for found in breaks:
        counts[found.leg_id or 0] = counts.get(found.leg_id or 0, 0) + 1
    yield from (_point(place, point) for point in points.values())
    yield from _legs(place, legs, points, counts)
    yield from _stations(place, points)
    yield from _breaks(user, place, breaks, {leg.pk: leg for leg in legs}, points)


def blocks_of(features: Iterable[Feature]) -> Iterator[str]:
    """Yield a FeatureCollection piece by piece: a whole register never stands in memory."""
    yield '{"type": "FeatureCollection", "features": ['
    for number, feature in enumerate(features):
        yield (",\n" if number else "\n") + json.dumps(feature, ensure_ascii=False)
    yield "\n]}\n"


def _feature(kind: str, coordinates: Any, said: dict[str, Any], ref: str) -> Feature:
    return {
        "type": "Feature",
        "id": ref,
        "geometry": {"type": kind, "coordinates": coordinates},
        "properties": said,
    }


def _at(latitude: float | None, longitude: float | None) -> list[float]:
    return [round(longitude or 0.0, DIGITS), round(latitude or 0.0, DIGITS)]


def _point(place: Property, point: Point) -> Feature:
    said = {
        "kind": "point",
        "ref": point.ref,
        "property_code": place.code,
        "name": point.name,
        "point_kind": point.kind,
        "accuracy_ft": point.accuracy_ft,
        "depth_in": point.depth_in,
        "lid": point.lid,
    }
    return _feature("Point", _at(point.latitude, point.longitude), said, point.ref)


def _legs(
    place: Property, legs: Sequence[Leg], points: dict[int, Point], counts: dict[int, int]
) -> Iterator[Feature]:
    for leg in legs:
        ends = points.get(leg.from_point_id), points.get(leg.to_point_id)
        if ends[0] is None or ends[1] is None:
            continue
        said = {
            "kind": "leg",
            "ref": leg.ref,
            "property_code": place.code,
            "leg": leg.label,
            "from_point": ends[0].name,
            "to_point": ends[1].name,
            "length_ft": leg.length_ft,
            "depth_in": leg.depth_in,
            "cover": leg.cover,
            "is_surveyed": leg.is_surveyed,
            "breaks": counts.get(leg.pk, 0),
        }
        line = [_at(end.latitude, end.longitude) for end in ends if end]
        yield _feature("LineString", line, said, leg.ref)


def _stations(place: Property, points: dict[int, Point]) -> Iterator[Feature]:
    controllers = list(place.controllers.in_care().order_by("name", "pk"))
    for cells in control_of(controllers).values():
        for cell in cells:
            station = cell.station
            point = points.get(station.valve_point_id or 0)
            if point is None:
                continue
            said = {
                "kind": "station",
                "ref": station.ref,
                "property_code": place.code,
                "controller": station.controller.name,
                "station_number": station.number,
                "name": station.name,
                "how_controlled": cell.state,
                "why_off": cell.reason,
            }
            yield _feature("Point", _at(point.latitude, point.longitude), said, station.ref)


def _breaks(
    user: User,
    place: Property,
    breaks: Sequence[Break],
    legs: dict[int, Leg],
    points: dict[int, Point],
) -> Iterator[Feature]:
    """Breaks are the ground's history, so all are there; their faults for who may open them."""
    seen = breaks_for(user).filter(pk__in=[found.pk for found in breaks])
    faults = dict(seen.values_list("pk", "fault__ref"))
    for found in breaks:
        where, how = _place_of(found, legs[found.leg_id or 0], points)
        if where is None:
            continue
        said = {
            "kind": "break",
            "ref": found.ref,
            "property_code": place.code,
            "fault_ref": faults.get(found.pk),
            "found_on": found.found_on and found.found_on.isoformat(),
            "mended_on": found.mended_on and found.mended_on.isoformat(),
            "cause": found.cause,
            "depth_in": found.depth_in,
            "position": how,
        }
        yield _feature("Point", where, said, found.ref)


def _place_of(found: Break, leg: Leg, points: dict[int, Point]) -> tuple[list[float] | None, str]:
    if found.latitude is not None:
        return _at(found.latitude, found.longitude), "as entered"
    first, last = points.get(leg.from_point_id), points.get(leg.to_point_id)
    if found.from_point_id is not None and found.from_point_id == leg.to_point_id:
        first, last = last, first
    if first is None or last is None or found.feet_along is None or not leg.length_ft:
        return None, ""
    share = min(max(found.feet_along / leg.length_ft, 0.0), 1.0)
    ends = _at(first.latitude, first.longitude), _at(last.latitude, last.longitude)
    where = [round(a + share * (b - a), DIGITS) for a, b in zip(*ends, strict=True)]
    return where, "on the straight line of its leg"
