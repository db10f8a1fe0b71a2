"""Our drawings as shapes for templates: the strip, the site plan, the grid's marks."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from pyproj import Transformer

from sites.engines.routes import Place, Step, Stretch, schematic
from sites.models import Leg, Point

FT_PER_M = 1 / 0.3048
MARGIN, WIDTH = 30.0, 1000.0
SCALE_BARS_FT = (10, 20, 50, 100, 200, 500, 1000, 2000, 5000)
SHORTEST_SCALE_BAR = 80
ROW_HEIGHT = 13.0
WIDEST_OVER_TALLEST = 1.6


@dataclass(frozen=True)
class Tick:
    """A point on the strip: `x` in drawing units, `feet` along the route."""

    x: float
    feet: float
    name: str
    how: str
    row: int


@dataclass(frozen=True)
class StripLeg:
    """A leg on the strip."""

    x: float
    width: float
    leg: Leg
    breaks: int

    @property
    def end(self) -> float:
        """Far end in drawing units."""
        return self.x + self.width


@dataclass(frozen=True)
class BreakMark:
    """A past break below the strip."""

    x: float
    feet: float
    label: str
    url: str


@dataclass(frozen=True)
class Strip:
    """A station's route as one straight line from controller to valve, to scale."""

    total_ft: float
    ticks: list[Tick]
    legs: list[StripLeg]
    breaks: list[BreakMark] = field(default_factory=list)
    left: float = 60
    width: float = 880


def strip(
    steps: Sequence[Step],
    *,
    legs: Mapping[int, Leg],
    points: Mapping[int, Point],
    how: Mapping[int, str],
    breaks: Sequence[tuple[float, str, str]],
    struck: Mapping[int, int],
) -> Strip:
    """Return the strip of a route.

    Args:
        how: what the wire does at each point, by point.
        breaks: (feet along the route, label, address) of past breaks whose feet are known.
        struck: how many breaks were found on each leg, by leg.
    """
    total = steps[-1].to_ft
    left, width = 60.0, 880.0
    scale = width / total if total else 0.0
    stops = [(0.0, steps[0].from_point)] + [(step.to_ft, step.to_point) for step in steps]
    ticks: list[Tick] = []
    last_x = [-100.0, -100.0]
    for feet, pk in stops:
        x = left + feet * scale
        # Two rows of names, so that boxes close together stay readable; then the name is left out.
        row = next((row for row in (0, 1) if x - last_x[row] > 62), -1)
        if row >= 0:
            last_x[row] = x
        ticks.append(Tick(x, feet, points[pk].name, how.get(pk, "not known"), row))
    return Strip(
        total,
        ticks,
        [
            StripLeg(
                left + step.from_ft * scale,
                max(step.length_ft * scale, 0.5),
                legs[step.leg],
                struck.get(step.leg, 0),
            )
            for step in steps
        ],
        [BreakMark(left + feet * scale, feet, label, url) for feet, label, url in breaks],
    )


@dataclass(frozen=True)
class PlanLeg:
    """A leg on the plan."""

    x1: float
    y1: float
    x2: float
    y2: float
    is_bent: bool
    leg: Leg
    breaks: int

    @property
    def path(self) -> str:
        """A straight line in place; in the schematic down first, then along to scale."""
        start = f"M{self.x1:.1f} {self.y1:.1f}"
        return (
            f"{start}V{self.y2:.1f}H{self.x2:.1f}"
            if self.is_bent
            else f"{start}L{self.x2:.1f} {self.y2:.1f}"
        )


@dataclass(frozen=True)
class PlanPoint:
    """A point on the plan."""

    x: float
    y: float
    point: Point
    is_off: bool

    @property
    def rect_x(self) -> float:
        """Left edge of a square mark."""
        return self.x - 5

    @property
    def rect_y(self) -> float:
        """Upper edge of a square mark."""
        return self.y - 5


@dataclass(frozen=True)
class Plan:
    """A property's ground: on its coordinates, or as a schematic tree to scale."""

    width: float
    height: float
    is_schematic: bool
    legs: list[PlanLeg]
    points: list[PlanPoint]
    scale_ft: int
    scale_width: float

    @property
    def struck(self) -> list[PlanLeg]:
        """The legs on which a break was found, most breaks first."""
        return sorted(
            (line for line in self.legs if line.breaks),
            key=lambda line: (-line.breaks, line.leg.label, line.leg.pk),
        )

    @property
    def scale_end(self) -> float:
        """Right end of the scale bar, which begins at the margin."""
        return MARGIN + self.scale_width

    @property
    def scale_y(self) -> float:
        """Height of the scale bar on the page."""
        return self.height - 10


def plan(legs: Sequence[Leg], *, breaks: Mapping[int, int], off_points: set[int]) -> Plan | None:
    """Return the plan of these legs, or None where there are none.

    Every point needs coordinates for a plan in place; else it is drawn as a tree.
    """
    points = {leg.from_point_id: leg.from_point for leg in legs}
    points |= {leg.to_point_id: leg.to_point for leg in legs}
    if not points:
        return None
    in_place = all(point.latitude is not None for point in points.values())
    places = _on_plane(points) if in_place else _as_tree(legs, points)
    return _draw(legs, points, places, breaks, off_points, is_schematic=not in_place)


def _on_plane(points: Mapping[int, Point]) -> dict[int, Place]:
    """Project onto a plane in feet that touches the globe amid the points."""
    latitudes = [point.latitude or 0.0 for point in points.values()]
    longitudes = [point.longitude or 0.0 for point in points.values()]
    centre = f"+lat_0={sum(latitudes) / len(latitudes)} +lon_0={sum(longitudes) / len(longitudes)}"
    project = Transformer.from_crs(
        "EPSG:4326", f"+proj=aeqd {centre} +ellps=WGS84 +units=m", always_xy=True
    )
    eastings, northings = project.transform(longitudes, latitudes)
    return {
        pk: Place(east * FT_PER_M, -north * FT_PER_M)
        for pk, east, north in zip(points, eastings, northings, strict=True)
    }


def _as_tree(legs: Sequence[Leg], points: Mapping[int, Point]) -> dict[int, Place]:
    stretches = [Stretch(leg.pk, leg.from_point_id, leg.to_point_id, leg.length_ft) for leg in legs]
    roots = sorted(points, key=lambda pk: (points[pk].kind != "controller", points[pk].name, pk))
    return schematic(stretches, roots=roots)


def _draw(
    legs: Sequence[Leg],
    points: Mapping[int, Point],
    places: Mapping[int, Place],
    breaks: Mapping[int, int],
    off_points: set[int],
    *,
    is_schematic: bool,
) -> Plan:
    west, north = (min(getattr(p, axis) for p in places.values()) for axis in ("x_ft", "y_ft"))
    east, south = (max(getattr(p, axis) for p in places.values()) for axis in ("x_ft", "y_ft"))
    tall = 0.0 if is_schematic else (south - north) * WIDEST_OVER_TALLEST
    scale = (WIDTH - 2 * MARGIN) / max(east - west, tall, 1.0)
    # In the schematic y counts rows, one for each valve; feet run along x alone.
    y_scale = ROW_HEIGHT if is_schematic else scale

    def at(pk: int) -> tuple[float, float]:
        place = places[pk]
        return MARGIN + (place.x_ft - west) * scale, MARGIN + (place.y_ft - north) * y_scale

    scale_ft = next((ft for ft in SCALE_BARS_FT if ft * scale >= SHORTEST_SCALE_BAR), 10_000)
    return Plan(
        WIDTH,
        2 * MARGIN + (south - north) * y_scale + 25,
        is_schematic,
        [
            PlanLeg(
                *min(at(leg.from_point_id), at(leg.to_point_id)),
                *max(at(leg.from_point_id), at(leg.to_point_id)),
                is_schematic,
                leg,
                breaks.get(leg.pk, 0),
            )
            for leg in legs
        ],
        [PlanPoint(*at(pk), point, pk in off_points) for pk, point in points.items()],
        scale_ft,
        scale_ft * scale,
    )
