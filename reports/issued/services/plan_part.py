"""The site plan on paper: the drawing of the page, with the looks that paper needs."""

from django.utils.translation import gettext as _

from reports.issued.services.asking import Scene
from reports.places.services.plans import plan_of
from sites.documents.engines import figures
from sites.documents.engines.document import Block, Drawing, Table
from sites.ground.charts.plan import Plan
from sites.ground.charts.plan_svg import plan_svg


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
    svg = plan_svg(found, length=scene.length, named=lambda dot: dot.point.name)
    return [Drawing(svg, alt, caption), _struck(scene, found)]


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
