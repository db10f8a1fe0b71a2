"""The plan as one SVG with the looks that paper needs: for reports, and for whom no page is."""

from collections.abc import Callable, Mapping
from html import escape

from sites.documents.charts.bars import FONT, INK, SOFT
from sites.ground.charts.plan import Plan, PlanLeg, PlanPoint

# Wider with each break, so that a copy in grey tells as much; from three on also dark red.
_STROKES = {0: ("#7b8481", 1.6), 1: ("#c58b00", 3.2), 2: ("#d55e00", 5.0), 3: ("#8c1c13", 7.0)}
MOST_NAMED = 120


def plan_svg(
    drawn: Plan,
    *,
    length: Callable[[float], str],
    named: Callable[[PlanPoint], str],
    marks: Mapping[int, float] | None = None,
) -> str:
    """Return the drawing.

    Args:
        length: writes feet in somebody's units. named: the words beside a point; many points
            stand without.
        marks: by the key of a leg, the share of it from its first point at which a cross stands.
    """
    legs = "".join(_leg(line) for line in sorted(drawn.legs, key=lambda line: line.breaks))
    is_named = len(drawn.points) <= MOST_NAMED
    points = "".join(_point(dot, named(dot) if is_named else "") for dot in drawn.points)
    crosses = "".join(
        _cross(*_along(line, marks[line.leg.pk]))
        for line in drawn.legs
        if marks and line.leg.pk in marks
    )
    scale = ""
    if drawn.scale_ft:
        y = drawn.scale_y
        scale = (
            f'<line x1="30" x2="{drawn.scale_end:.1f}" y1="{y:.1f}" y2="{y:.1f}" stroke="{INK}" '
            f'stroke-width="2"/><text x="30" y="{y - 6:.1f}">'
            f"{escape(length(drawn.scale_ft))}</text>"
        )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {drawn.width:.0f} '
        f'{drawn.height:.0f}" font-family="{FONT}" font-size="12" fill="{INK}">'
        f"{legs}{points}{crosses}{scale}</svg>"
    )


def _leg(line: PlanLeg) -> str:
    colour, width = _STROKES[line.shade]
    dashes = "" if line.leg.is_surveyed else ' stroke-dasharray="6 4"'
    return f'<path d="{line.path}" fill="none" stroke="{colour}" stroke-width="{width}"{dashes}/>'


def _point(dot: PlanPoint, words: str) -> str:
    at = f'cx="{dot.x:.1f}" cy="{dot.y:.1f}"'
    if dot.point.kind == "controller":
        mark = (
            f'<rect x="{dot.x - 5:.1f}" y="{dot.y - 5:.1f}" width="10" height="10" fill="{INK}"/>'
        )
    else:
        mark = f'<circle {at} r="2.6" fill="{SOFT}"/>'
    if dot.is_off:
        mark += f'<circle {at} r="7.5" fill="none" stroke="{INK}" stroke-width="1.8"/>'
    if not words:
        return mark
    return f'{mark}<text x="{dot.x + 8:.1f}" y="{dot.y - 5:.1f}">{escape(words)}</text>'


def _along(line: PlanLeg, share: float) -> tuple[float, float]:
    """Return the place on a leg as it is drawn: a bent one is to scale on its last part only."""
    across = line.x1 + (line.x2 - line.x1) * share
    return across, line.y2 if line.is_bent else line.y1 + (line.y2 - line.y1) * share


def _cross(x: float, y: float) -> str:
    a, b, c, d = x - 7, x + 7, y - 7, y + 7
    path = f"M{a:.1f} {c:.1f}L{b:.1f} {d:.1f}M{a:.1f} {d:.1f}L{b:.1f} {c:.1f}"
    return f'<path d="{path}" fill="none" stroke="#8c1c13" stroke-width="3"/>'
