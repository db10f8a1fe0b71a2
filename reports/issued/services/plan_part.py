"""The site plan on paper: the drawing of the page, with the looks that paper needs."""

from html import escape

from django.utils.translation import gettext as _

from reports.issued.services.asking import Scene
from reports.places.services.plans import plan_of
from sites.documents.charts.bars import FONT, INK, SOFT
from sites.documents.engines import figures
from sites.documents.engines.document import Block, Drawing, Table
from sites.ground.charts.plan import Plan, PlanLeg, PlanPoint

# Wider with each break, so that a copy in grey tells as much; from three on also dark red.
_STROKES = {0: ("#7b8481", 1.6), 1: ("#c58b00", 3.2), 2: ("#d55e00", 5.0), 3: ("#8c1c13", 7.0)}
MOST_NAMED = 120


def plan_blocks(scene: Scene) -> list[Block]:
    """Return the plan and the legs on which breaks were found; nothing without legs."""
    found = plan_of(scene.place)["plan"]
    if not isinstance(found, Plan):
        return []
    caption = _(
        "Legs by the breaks found on them: thin none, wider with each break. Squares: "
        "controllers. Dots: valves and boxes. Large open rings: stations off central control."
    )
    if found.is_schematic:
        caption += " " + _("Lengths along the wire are to scale, directions are not.")
    alt = _("Site plan with %(legs)s legs, %(struck)s of them with breaks.") % {
        "legs": len(found.legs),
        "struck": len(found.struck),
    }
    return [Drawing(_drawn(scene, found), alt, caption), _struck(scene, found)]


def _struck(scene: Scene, drawn: Plan) -> Table:
    rows = [
        [
            figures.text(line.leg),
            figures.text(f"{line.leg.from_point} – {line.leg.to_point}"),
            figures.text(scene.length(line.leg.length_ft)),
            figures.count(line.breaks),
        ]
        for line in drawn.struck
    ]
    headings = [_("Leg"), _("From, to"), _("Length"), _("Breaks")]
    empty = _("No break was found on any of them.")
    return Table("struck", _("Legs on which breaks were found"), headings, rows, [2, 3], empty)


def _drawn(scene: Scene, drawn: Plan) -> str:
    legs = "".join(_leg(line) for line in sorted(drawn.legs, key=lambda line: line.breaks))
    named = len(drawn.points) <= MOST_NAMED
    points = "".join(_point(dot, named) for dot in drawn.points)
    scale = ""
    if drawn.scale_ft:
        y = drawn.scale_y
        scale = (
            f'<line x1="30" x2="{drawn.scale_end:.1f}" y1="{y:.1f}" y2="{y:.1f}" stroke="{INK}" '
            f'stroke-width="2"/><text x="30" y="{y - 6:.1f}">'
            f"{escape(scene.length(drawn.scale_ft))}</text>"
        )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {drawn.width:.0f} '
        f'{drawn.height:.0f}" font-family="{FONT}" font-size="12" fill="{INK}">'
        f"{legs}{points}{scale}</svg>"
    )


def _leg(line: PlanLeg) -> str:
    colour, width = _STROKES[line.shade]
    dashes = "" if line.leg.is_surveyed else ' stroke-dasharray="6 4"'
    return f'<path d="{line.path}" fill="none" stroke="{colour}" stroke-width="{width}"{dashes}/>'


def _point(dot: PlanPoint, is_named: bool) -> str:
    at = f'cx="{dot.x:.1f}" cy="{dot.y:.1f}"'
    if dot.point.kind == "controller":
        mark = (
            f'<rect x="{dot.x - 5:.1f}" y="{dot.y - 5:.1f}" width="10" height="10" fill="{INK}"/>'
        )
    else:
        mark = f'<circle {at} r="2.6" fill="{SOFT}"/>'
    if dot.is_off:
        mark += f'<circle {at} r="7.5" fill="none" stroke="{INK}" stroke-width="1.8"/>'
    if not is_named:
        return mark
    return f'{mark}<text x="{dot.x + 8:.1f}" y="{dot.y - 5:.1f}">{escape(dot.point.name)}</text>'
