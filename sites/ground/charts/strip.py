"""The strip: a station's way from controller to valve as one straight line, to scale."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from sites.ground.charts.labels import LINE, lay_out, spread, width_of
from sites.ground.engines.routes import Step
from sites.models import AtPoint, Leg, Point

LEFT, WIDTH = 60.0, 880.0
PAGE, PAGE_WITH_SLANT = 1000.0, 1080.0
LAST_SLANTED = 960.0
NUMBER_STEP = 18.0
# Below the line: depth and cover, then the past breaks, their numbers, and the two ends.
BELOW = 100.0
LEADER = 24.0


@dataclass(frozen=True)
class Tick:
    """A point on the strip: `x` in drawing units, `feet` along the route."""

    x: float
    feet: float
    name: str
    how: str
    label: str
    label_x: float | None
    ref: str = ""

    @property
    def how_word(self) -> str:
        """What the wire does there, in the user's language."""
        return str(AtPoint(self.how).label)

    @property
    def kind(self) -> str:
        """The CSS class that draws it."""
        return {"passes uncut": "passes", "not known": "unknown"}.get(self.how, self.how)

    @property
    def half(self) -> int:
        """How far the mark reaches to either side of the line."""
        return 12 if self.how in {"spliced", "ends"} else 6

    @property
    def leader(self) -> str:
        """The line from the mark to the name."""
        return f"M{self.x:.1f} -14L{self.label_x or 0:.1f} {-LEADER:.0f}"


@dataclass(frozen=True)
class StripLeg:
    """A leg on the strip, with the words for which there is room along it."""

    x: float
    width: float
    leg: Leg
    breaks: int
    words: str = ""

    @property
    def end(self) -> float:
        """Far end in drawing units."""
        return self.x + self.width

    @property
    def middle(self) -> float:
        """Half-way, where its words stand."""
        return self.x + self.width / 2

    @property
    def is_paved(self) -> bool:
        """Whether a saw or a permit stands between the wire and a spade."""
        return self.leg.cover in {"paving", "road"}


@dataclass(frozen=True)
class PastBreak:
    """A break on the route: feet along it, what to say of it, and its number in the table."""

    feet: float
    label: str
    url: str
    number: int


@dataclass(frozen=True)
class BreakMark:
    """A past break below the strip, with the number by which the table names it."""

    x: float
    past: PastBreak
    number_x: float | None

    @property
    def leader(self) -> str:
        """The line from the cross to its number."""
        return f"M{self.x:.1f} 51L{self.number_x or 0:.1f} 58"


@dataclass(frozen=True)
class Strip:
    """A station's route as one straight line from controller to valve, to scale."""

    total_ft: float
    ticks: list[Tick]
    legs: list[StripLeg]
    breaks: list[BreakMark] = field(default_factory=list)
    is_slanted: bool = False
    line_y: float = 60.0

    @property
    def width(self) -> float:
        """Width of the page; slanted names reach beyond the valve."""
        return PAGE_WITH_SLANT if self.is_slanted else PAGE

    @property
    def height(self) -> float:
        """Height of the page."""
        return self.line_y + BELOW


def strip(
    steps: Sequence[Step],
    *,
    legs: Mapping[int, Leg],
    points: Mapping[int, Point],
    how: Mapping[int, str],
    breaks: Sequence[PastBreak],
    struck: Mapping[int, int],
    words: Mapping[int, Sequence[str]] | None = None,
) -> Strip:
    """Return the strip of a route.

    Args:
        how: what the wire does at each point, by point.
        breaks: past breaks whose feet are known.
        struck: how many breaks were found on each leg, by leg.
        words: what may be written along each leg, best first: the first that fits is.
    """
    total = steps[-1].to_ft
    scale = WIDTH / total if total else 0.0
    stops = [(0.0, steps[0].from_point)] + [(step.to_ft, step.to_point) for step in steps]
    names = lay_out(
        [(LEFT + feet * scale, points[pk].name) for feet, pk in stops],
        left=0.0,
        right=PAGE,
        last_slanted=LAST_SLANTED,
    )
    ticks = [
        Tick(
            LEFT + feet * scale,
            feet,
            points[pk].name,
            how.get(pk, AtPoint.NOT_KNOWN.value),
            label.text,
            label.x,
            # A run of which only the length is known has no points with a page of their own.
            points[pk].ref if pk > 0 else "",
        )
        for (feet, pk), label in zip(stops, names.labels, strict=True)
    ]
    drawn = [_leg(step, scale, legs[step.leg], struck, words or {}) for step in steps]
    marks = _marks(breaks, scale)
    return Strip(total, ticks, drawn, marks, names.is_slanted, names.height + LEADER + LINE / 2)


def _leg(
    step: Step,
    scale: float,
    leg: Leg,
    struck: Mapping[int, int],
    words: Mapping[int, Sequence[str]],
) -> StripLeg:
    width = max(step.length_ft * scale, 0.5)
    fitting = (text for text in words.get(step.leg, ()) if width_of(text) + 4 <= width)
    start = LEFT + step.from_ft * scale
    return StripLeg(start, width, leg, struck.get(step.leg, 0), next(fitting, ""))


def _marks(breaks: Sequence[PastBreak], scale: float) -> list[BreakMark]:
    in_order = sorted(breaks, key=lambda one: (one.feet, one.number))
    xs = [LEFT + one.feet * scale for one in in_order]
    places = spread(xs, step=NUMBER_STEP, left=10.0, right=PAGE - 10.0)
    return [BreakMark(*mark) for mark in zip(xs, in_order, places, strict=True)]
