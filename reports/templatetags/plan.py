"""The shapes of a site plan as markup.

A large plan has thousands of legs and points: written here, each takes microseconds, where a
template's tags would take a second for all.
"""

from django import template
from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe
from django.utils.text import slugify
from django.utils.translation import ngettext

from sites.ground.charts.plan import WORST_FIRST, Plan, PlanLeg, PlanPoint
from sites.models import Property
from sites.templatetags.register import feet, state_word

register = template.Library()


@register.simple_tag
def plan_legs(plan: Plan, place: Property) -> SafeString:
    """Return the legs, each with its words and a link to its page where that exists."""
    return mark_safe("".join(_leg(line, place) for line in plan.legs))


@register.simple_tag
def plan_spares(plan: Plan) -> SafeString:
    """Return the numbers of spare wires left."""
    return mark_safe(
        "".join(
            f'<g transform="translate({line.middle})"><g class="keep">'
            f'<circle class="spares" r="8"/><text y="4" text-anchor="middle">{line.spares}</text>'
            "</g></g>"
            for line in plan.legs
            if line.spares is not None
        )
    )


@register.simple_tag
def plan_points(plan: Plan) -> SafeString:
    """Return the points, each with the mark of its stations."""
    words = {state: state_word(state) for state in WORST_FIRST}
    return mark_safe("".join(_point(dot, words) for dot in plan.points))


def _leg(line: PlanLeg, place: Property) -> str:
    kinds = "leg"
    if line.breaks:
        kinds += f" struck struck-{line.shade}"
    if not line.leg.is_surveyed:
        kinds += " not-surveyed"
    path = line.path
    said = f"{line.leg}, {feet(line.leg.length_ft, place)}{_breaks(line.breaks)}"
    drawn = f'<path class="{kinds}" d="{path}"><title>{escape(said)}</title></path>'
    if line.shade in {1, 2}:
        drawn += f'<path class="struck-ties struck-ties-{line.shade}" d="{path}"/>'
    return _linked(drawn, line.url)


def _breaks(count: int) -> str:
    if not count:
        return ""
    return ", " + ngettext("%(n)s break", "%(n)s breaks", count) % {"n": count}


def _point(dot: PlanPoint, words: dict[str, str]) -> str:
    name = dot.point.name
    stations = (f", {each.station} {words[each.state]}" for each in dot.stations)
    # By these its cells in the grid light up, and it does by them.
    refs = " ".join(each.station.ref for each in dot.stations)
    at = f' data-at="{refs}"' if refs else ""
    drawn = (
        f'<g transform="translate({dot.at})"{at}><title>{escape(name + "".join(stations))}</title>'
        f'<g class="keep">{_mark(dot, str(escape(name)))}</g></g>'
    )
    return _linked(drawn, dot.url)


def _mark(dot: PlanPoint, name: str) -> str:
    if dot.point.kind == "controller":
        return (
            '<rect class="controller-point" x="-5" y="-5" width="10" height="10"/>'
            f'<text x="-5" y="-10">{name}</text>'
        )
    is_box = dot.point.kind == "splice box"
    ring = '<circle class="point" r="3.2"/>' if is_box else '<circle class="valve" r="2"/>'
    return f'{ring}{_stations(dot)}<text class="layer-names" x="7" y="4">{name}</text>'


def _stations(dot: PlanPoint) -> str:
    if not dot.stations:
        return ""
    state = slugify(dot.state)
    ring = '<circle class="off-mark" r="5.5"/>' if dot.is_off else ""
    return (
        f'<g class="layer-stations state-{state}">{ring}'
        f'<use href="#mark-{state}" x="-7" y="-20" width="14" height="14"/></g>'
    )


def _linked(drawn: str, url: str) -> str:
    # Out of the order of keys: the lists beside the plan hold the same links.
    return f'<a href="{escape(url)}" tabindex="-1">{drawn}</a>' if url else drawn
