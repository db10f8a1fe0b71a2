"""What a site plan can be drawn on: coordinates, the property's own picture, or a schematic."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import hypot

from sites.ground.engines.routes import Place, Stretch, schematic
from sites.kernel.lazily import lazily
from sites.models import Leg, PlanPicture, Point

pyproj = lazily("pyproj")

FT_PER_M = 1 / 0.3048
MARGIN, WIDTH = 30.0, 1000.0
ROW_HEIGHT = 13.0
WIDEST_OVER_TALLEST = 1.6
BELOW = 25.0


class Base(StrEnum):
    """What the ground is drawn on."""

    PICTURE = "picture"
    COORDINATES = "coordinates"
    SCHEMATIC = "schematic"


@dataclass(frozen=True)
class Laid:
    """Where points stand on the page, in drawing units.

    `per_ft` is drawing units for one foot of ground; None where the picture has no scale.
    """

    at: dict[int, tuple[float, float]]
    height: float
    per_ft: float | None


def possible_bases(points: Sequence[Point], picture: PlanPicture | None) -> list[Base]:
    """Return the bases on which at least two of these points have a place; a schematic always."""
    on_picture = sum(point.plan_x_px is not None for point in points)
    on_globe = sum(point.latitude is not None for point in points)
    return [
        *([Base.PICTURE] if picture is not None and on_picture >= 2 else []),
        *([Base.COORDINATES] if on_globe >= 2 else []),
        Base.SCHEMATIC,
    ]


def best_base(points: Sequence[Point], picture: PlanPicture | None) -> Base:
    """Return the base that shows most: a place for every point, and a scale."""
    if picture is not None and picture.distance_ft and _all(points, "plan_x_px"):
        return Base.PICTURE
    return Base.COORDINATES if _all(points, "latitude") else Base.SCHEMATIC


def _all(points: Sequence[Point], field: str) -> bool:
    return bool(points) and all(getattr(point, field) is not None for point in points)


def lay(
    base: Base, legs: Sequence[Leg], points: Mapping[int, Point], picture: PlanPicture | None
) -> Laid:
    """Return where each point stands on this base; points without a place there are left out."""
    if base is Base.PICTURE and picture is not None:
        return _on_picture(points, picture)
    if base is Base.COORDINATES:
        return _fit(_on_plane(points), is_schematic=False)
    return _fit(_as_tree(legs, points), is_schematic=True)


def picture_ft_per_px(picture: PlanPicture) -> float | None:
    """Return how many feet a pixel of the picture is, or None before it has a scale."""
    ends = (picture.first_x_px, picture.first_y_px, picture.second_x_px, picture.second_y_px)
    if picture.distance_ft is None or any(end is None for end in ends):
        return None
    x1, y1, x2, y2 = (float(end or 0.0) for end in ends)
    between = hypot(x2 - x1, y2 - y1)
    return picture.distance_ft / between if between else None


def _on_picture(points: Mapping[int, Point], picture: PlanPicture) -> Laid:
    per_px = WIDTH / picture.width_px
    ft_per_px = picture_ft_per_px(picture)
    at = {
        pk: (point.plan_x_px * per_px, point.plan_y_px * per_px)
        for pk, point in points.items()
        if point.plan_x_px is not None and point.plan_y_px is not None
    }
    height = picture.height_px * per_px + BELOW
    return Laid(at, height, per_px / ft_per_px if ft_per_px else None)


def _on_plane(points: Mapping[int, Point]) -> dict[int, Place]:
    """Project onto a plane in feet that touches the globe amid the points."""
    placed = {pk: point for pk, point in points.items() if point.latitude is not None}
    latitudes = [point.latitude or 0.0 for point in placed.values()]
    longitudes = [point.longitude or 0.0 for point in placed.values()]
    centre = f"+lat_0={sum(latitudes) / len(latitudes)} +lon_0={sum(longitudes) / len(longitudes)}"
    project = pyproj.Transformer.from_crs(
        "EPSG:4326", f"+proj=aeqd {centre} +ellps=WGS84 +units=m", always_xy=True
    )
    eastings, northings = project.transform(longitudes, latitudes)
    return {
        pk: Place(east * FT_PER_M, -north * FT_PER_M)
        for pk, east, north in zip(placed, eastings, northings, strict=True)
    }


def _as_tree(legs: Sequence[Leg], points: Mapping[int, Point]) -> dict[int, Place]:
    stretches = [Stretch(leg.pk, leg.from_point_id, leg.to_point_id, leg.length_ft) for leg in legs]
    # A point without a leg hangs on nothing: a tree has no place for it.
    ends = {end for leg in legs for end in (leg.from_point_id, leg.to_point_id)}
    roots = sorted(ends, key=lambda pk: (points[pk].kind != "controller", points[pk].name, pk))
    return schematic(stretches, roots=roots)


def _fit(places: Mapping[int, Place], *, is_schematic: bool) -> Laid:
    west, north = (min(getattr(p, axis) for p in places.values()) for axis in ("x_ft", "y_ft"))
    east, south = (max(getattr(p, axis) for p in places.values()) for axis in ("x_ft", "y_ft"))
    tall = 0.0 if is_schematic else (south - north) * WIDEST_OVER_TALLEST
    scale = (WIDTH - 2 * MARGIN) / max(east - west, tall, 1.0)
    # In the schematic y counts rows, one for each valve; feet run along x alone.
    y_scale = ROW_HEIGHT if is_schematic else scale
    at = {
        pk: (MARGIN + (place.x_ft - west) * scale, MARGIN + (place.y_ft - north) * y_scale)
        for pk, place in places.items()
    }
    return Laid(at, 2 * MARGIN + (south - north) * y_scale + BELOW, scale)
