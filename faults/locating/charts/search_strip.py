"""The strip of a search: the station's wire to scale, likelihood in rounded bands above it."""

from collections.abc import Mapping
from dataclasses import dataclass

from faults.locating.engines.bands import stretches_of
from faults.locating.engines.line import Joint
from faults.locating.engines.summary import band
from faults.locating.services.beliefs import Believed
from faults.locating.services.line import SearchGround
from sites.ground.charts.labels import width_of
from sites.ground.charts.strip import LEFT, WIDTH, Strip, strip
from sites.ground.engines.routes import Step
from sites.models import AtPoint, Leg, Point, PointKind

# Drawing units of one step of likelihood, and the foot of the bands above the line.
STEP_UP, FOOT = 9.0, 13.0
RISE = 5 * STEP_UP + FOOT
HOW = {
    Joint.SPLICED: AtPoint.SPLICED.value,
    Joint.UNCUT: AtPoint.PASSES.value,
    Joint.NOT_KNOWN: AtPoint.NOT_KNOWN.value,
}


@dataclass(frozen=True)
class Band:
    """A stretch above the line: place and size in drawing units, 0..5 steps high."""

    x: float
    width: float
    height: int
    is_unlikely: bool

    @property
    def top(self) -> float:
        """Upper edge; the line lies at 0."""
        return -FOOT - self.tall

    @property
    def tall(self) -> float:
        """Height in drawing units."""
        return self.height * STEP_UP


@dataclass(frozen=True)
class Share:
    """The share of a leg or a splice, written below the line."""

    x: float
    words: str


@dataclass(frozen=True)
class SearchStrip:
    """The strip with its bands and shares; `rise` is how far the names move up for them."""

    strip: Strip
    bands: list[Band]
    shares: list[Share]
    splices: list[Share]
    rise: float = RISE

    @property
    def line_y(self) -> float:
        """Where the line lies on the page, below the names and the bands."""
        return self.strip.line_y + self.rise

    @property
    def names_y(self) -> float:
        """How far above the line the names begin."""
        return self.rise + 14

    @property
    def height(self) -> float:
        """Height of the page."""
        return self.line_y + 62


def search_strip(state: Believed, names: Mapping[str, str]) -> SearchStrip:
    """Return the drawing of what is believed; after a contradiction of what was before it.

    Args:
        names: words for the run of which only the length is known: "controller", "valve".
    """
    ground = state.ground
    belief = state.belief or state.effects[-1].before
    drawn = _strip(ground, names)
    scale = WIDTH / ground.line.length_ft
    bands = [
        Band(
            LEFT + each.from_ft * scale,
            (each.to_ft - each.from_ft) * scale,
            each.height,
            each.is_unlikely,
        )
        for each in stretches_of(state.before, belief)
    ]
    shares = []
    for leg, probability in zip(drawn.legs, belief.by_leg, strict=True):
        words = _percent(float(probability))
        if width_of(words) + 4 <= leg.width:
            shares.append(Share(leg.middle, words))
    splices = [
        Share(tick.x, _percent(float(probability)))
        for tick, probability in zip(drawn.ticks, belief.splice, strict=True)
        if band(float(probability)) >= 0.05
    ]
    return SearchStrip(drawn, bands, shares, splices)


def _percent(probability: float) -> str:
    rounded = band(probability)
    if rounded == 0:
        return "< 1 %"
    return "> 95 %" if rounded == 1 else f"{rounded * 100:.0f} %"


def _strip(ground: SearchGround, names: Mapping[str, str]) -> Strip:
    boxes = {
        point: HOW[box.joint]
        for point, box in zip(ground.points[1:-1], ground.line.boxes, strict=True)
    }
    how = {ground.points[0]: AtPoint.ENDS.value, ground.points[-1]: AtPoint.ENDS.value} | boxes
    if ground.is_surveyed:
        points = {p.pk: p for leg in ground.rows.values() for p in (leg.from_point, leg.to_point)}
        return strip(ground.steps, legs=ground.rows, points=points, how=how, breaks=[], struck={})
    start = Point(pk=-1, name=names["controller"], kind=PointKind.CONTROLLER)
    end = Point(pk=-2, name=names["valve"], kind=PointKind.VALVE_BOX)
    length_ft = ground.line.length_ft
    run = Leg(pk=-1, label=names["run"], from_point=start, to_point=end, length_ft=length_ft)
    run.is_surveyed = False
    return strip(
        [Step(-1, -1, -2, 0.0, length_ft, True)],
        legs={-1: run},
        points={-1: start, -2: end},
        how=how,
        breaks=[],
        struck={},
    )
