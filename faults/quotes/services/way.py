"""The plan of a fault's wire for the client: where it runs, and where the break is.

Who has the private address sees it, so nothing of the property stands in it but this wire: no
names, no other wires.
"""

from django.utils.translation import gettext as _

from faults.cases.queries import legs_to_choose
from faults.models import Break, Quote, QuotePurpose
from sites.cells.engines.measures import LENGTH
from sites.documents.engines.document import Drawing
from sites.ground.charts.bases import best_base
from sites.ground.charts.plan import Shown, plan
from sites.ground.charts.plan_svg import plan_svg
from sites.models import Leg, Point


def way_of(quote: Quote) -> Drawing | None:
    """Return the plan, where the office chose to show it and the wire's legs are known."""
    if not quote.facts.get("shows_plan"):
        return None
    legs, _others = legs_to_choose(quote.fault)
    points: dict[int, Point] = {leg.from_point_id: leg.from_point for leg in legs}
    points |= {leg.to_point_id: leg.to_point for leg in legs}
    if not points:
        return None
    breaks = _breaks(quote, legs)
    shown = Shown(breaks={found.leg_id: 1 for found in breaks if found.leg_id})
    base = best_base(list(points.values()), None)
    drawn = plan(legs, [], base=base, picture=None, shown=shown)
    if drawn is None:
        return None
    marks = {found.leg_id: _share(found) for found in breaks if found.leg_id and _has_place(found)}
    svg = plan_svg(
        drawn,
        length=lambda feet: LENGTH.in_words(feet, quote.fault.property.units),
        named=lambda _dot: "",
        marks=marks,
    )
    caption = _("The way of this wire. Square: controller. Dots: boxes and valves.")
    if marks:
        caption += " " + _("Cross: the break.")
    elif breaks:
        caption += " " + _("Wide line: the stretch on which the break is.")
    if drawn.is_schematic:
        caption += " " + _("Lengths along the wire are to scale, directions are not.")
    alt = _("Plan of the wire: %(legs)s stretches, %(breaks)s of them with a break.")
    words = alt % {"legs": len(drawn.legs), "breaks": len({found.leg_id for found in breaks})}
    return Drawing(svg, words, caption)


def _breaks(quote: Quote, legs: list[Leg]) -> list[Break]:
    """What is priced: the breaks that are not mended. While it is sought there are none to show."""
    if quote.purpose != QuotePurpose.DIG:
        return []
    rows = quote.fault.breaks.filter(mended_on=None, leg__in=legs).select_related("leg")
    return list(rows.order_by("-running_number"))


def _has_place(found: Break) -> bool:
    return found.feet_along is not None and found.leg is not None and found.leg.length_ft > 0


def _share(found: Break) -> float:
    """How far along its leg, from the leg's first point, 0 to 1."""
    assert found.leg is not None
    assert found.feet_along is not None
    share = min(max(found.feet_along / found.leg.length_ft, 0.0), 1.0)
    return 1.0 - share if found.from_point_id == found.leg.to_point_id else share
