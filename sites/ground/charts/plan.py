"""The site plan: legs by what has happened on them, points by how their stations are controlled."""

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from sites.ground.charts.bases import MARGIN, WIDTH, Base, Laid, lay
from sites.models import Cover, Leg, PlanPicture, Point, Station

SCALE_BARS_FT = (10, 20, 50, 100, 200, 500, 1000, 2000, 5000)
SHORTEST_SCALE_BAR = 80
MOST_SHADES = 3
# How far legs between the same two points stand apart.
BOW = 14.0
# A point with several stations is marked by the state that needs work most.
WORST_FIRST = ("off", "temporary", "not known", "linked", "outside")


def no_address(_ref: str) -> str:
    """Return no address: the page of that thing does not exist."""
    return ""


@dataclass(frozen=True)
class OnPoint:
    """A station whose valve is at a point."""

    station: Station
    state: str


@dataclass(frozen=True)
class Shown:
    """What is known of the ground besides the ground itself, by leg or by point."""

    breaks: Mapping[int, int] = field(default_factory=dict)
    spares: Mapping[int, int] = field(default_factory=dict)
    stations: Mapping[int, Sequence[OnPoint]] = field(default_factory=dict)
    leg_address: Callable[[str], str] = no_address
    point_address: Callable[[str], str] = no_address


@dataclass(frozen=True)
class PlanLeg:
    """A leg on the plan; `spares` is None where no wire is registered in it."""

    x1: float
    y1: float
    x2: float
    y2: float
    base: Base
    leg: Leg
    breaks: int
    spares: int | None
    url: str

    @property
    def shade(self) -> int:
        """0, 1, 2, or 3 for three breaks and more."""
        return min(self.breaks, MOST_SHADES)

    @property
    def is_bent(self) -> bool:
        """In the schematic a leg goes down first, then along to scale."""
        return self.base is Base.SCHEMATIC

    @property
    def path(self) -> str:
        """The line itself."""
        start = f"M{self.x1:.1f} {self.y1:.1f}"
        if self.is_bent:
            return f"{start}V{self.y2:.1f}H{self.x2:.1f}"
        if self.leg.running_number > 1:
            bow_x, bow_y = self._bow
            return f"{start}Q{bow_x:.1f} {bow_y:.1f} {self.x2:.1f} {self.y2:.1f}"
        return f"{start}L{self.x2:.1f} {self.y2:.1f}"

    @property
    def _bow(self) -> tuple[float, float]:
        dx, dy = self.x2 - self.x1, self.y2 - self.y1
        out = BOW * (self.leg.running_number - 1) / max((dx * dx + dy * dy) ** 0.5, 1.0)
        return (self.x1 + self.x2) / 2 - dy * out, (self.y1 + self.y2) / 2 + dx * out

    @property
    def middle(self) -> str:
        """Where what is said of the leg stands."""
        across = (self.x1 + self.x2) / 2
        return f"{across:.1f} {self.y2 if self.is_bent else (self.y1 + self.y2) / 2:.1f}"


@dataclass(frozen=True)
class PlanPoint:
    """A point on the plan, with the stations whose valves are there."""

    x: float
    y: float
    point: Point
    stations: Sequence[OnPoint]
    url: str

    @property
    def at(self) -> str:
        """Where it stands."""
        return f"{self.x:.1f} {self.y:.1f}"

    @property
    def state(self) -> str:
        """How its stations are controlled: the state of the one that needs work most."""
        states = {each.state for each in self.stations}
        return next((state for state in WORST_FIRST if state in states), "")

    @property
    def is_off(self) -> bool:
        """Whether one of its stations is off central control."""
        return self.state == "off"


@dataclass(frozen=True)
class Plan:
    """A property's ground on one of its bases."""

    base: Base
    height: float
    legs: list[PlanLeg]
    points: list[PlanPoint]
    not_placed: int
    scale_ft: int
    scale_width: float
    picture: PlanPicture | None = None
    width: float = WIDTH

    @property
    def is_schematic(self) -> bool:
        """Whether only lengths are to scale."""
        return self.base is Base.SCHEMATIC

    @property
    def struck(self) -> list[PlanLeg]:
        """The legs on which a break was found, most breaks first."""
        return sorted(
            (line for line in self.legs if line.breaks),
            key=lambda line: (-line.breaks, line.leg.label, line.leg.pk),
        )

    @property
    def covers(self) -> list[tuple[str, str, str]]:
        """(cover, its word, one path along all legs under it)."""
        paths: dict[str, list[str]] = defaultdict(list)
        for line in self.legs:
            if line.leg.cover:
                paths[line.leg.cover].append(line.path)
        return [
            (cover.value, str(cover.label), "".join(paths[cover.value]))
            for cover in Cover
            if cover.value in paths
        ]

    @property
    def conduit(self) -> str:
        """One path along all legs in conduit."""
        return "".join(line.path for line in self.legs if line.leg.in_conduit)

    @property
    def has_spares(self) -> bool:
        """Whether any leg tells of its wires."""
        return any(line.spares is not None for line in self.legs)

    @property
    def picture_height(self) -> float:
        """Height of the property's picture on the page."""
        return WIDTH * self.picture.height_px / self.picture.width_px if self.picture else 0.0

    @property
    def scale_end(self) -> float:
        """Right end of the scale bar, which begins at the margin."""
        return MARGIN + self.scale_width

    @property
    def scale_y(self) -> float:
        """Height of the scale bar on the page."""
        return self.height - 10


def plan(
    legs: Sequence[Leg],
    loose: Sequence[Point],
    *,
    base: Base,
    picture: PlanPicture | None,
    shown: Shown,
) -> Plan | None:
    """Return the plan on this base, or None where nothing has a place on it.

    Args:
        loose: points that no leg touches; a schematic leaves them out.
    """
    points = {leg.from_point_id: leg.from_point for leg in legs}
    points |= {leg.to_point_id: leg.to_point for leg in legs}
    if base is not Base.SCHEMATIC:
        points |= {point.pk: point for point in loose}
    if not points:
        return None
    laid = lay(base, legs, points, picture)
    lines = [_line(leg, laid, base, shown) for leg in legs if _is_placed(leg, laid)]
    scale_ft = _scale_bar_ft(laid.per_ft)
    return Plan(
        base,
        laid.height,
        lines,
        [_dot(points[pk], laid, shown) for pk in points if pk in laid.at],
        len(legs) - len(lines),
        scale_ft,
        scale_ft * (laid.per_ft or 0.0),
        picture if base is Base.PICTURE else None,
    )


def _is_placed(leg: Leg, laid: Laid) -> bool:
    return leg.from_point_id in laid.at and leg.to_point_id in laid.at


def _line(leg: Leg, laid: Laid, base: Base, shown: Shown) -> PlanLeg:
    # Left to right, so that the bend of a schematic leg is at its point nearer the controller.
    first, second = sorted((laid.at[leg.from_point_id], laid.at[leg.to_point_id]))
    return PlanLeg(
        *first,
        *second,
        base,
        leg,
        shown.breaks.get(leg.pk, 0),
        shown.spares.get(leg.pk),
        shown.leg_address(leg.ref),
    )


def _dot(point: Point, laid: Laid, shown: Shown) -> PlanPoint:
    stations = shown.stations.get(point.pk, ())
    return PlanPoint(*laid.at[point.pk], point, stations, shown.point_address(point.ref))


def _scale_bar_ft(per_ft: float | None) -> int:
    """Return the shortest round length whose bar can be read; 0 where there is no scale."""
    if not per_ft:
        return 0
    return next((ft for ft in SCALE_BARS_FT if ft * per_ft >= SHORTEST_SCALE_BAR), 10_000)
