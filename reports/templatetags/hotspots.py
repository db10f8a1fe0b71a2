"""How hotspots read in templates, and the legs of a plan by how often they fail."""

from collections.abc import Mapping

from django import template
from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from reports.hotspots.engines.rates import Interval
from reports.hotspots.services.rows import Row
from reports.hotspots.services.words import evidence as evidence_of
from reports.hotspots.services.words import interval_words
from reports.hotspots.services.words import number as number_of
from sites.cells.services.shown import share_text
from sites.ground.charts.plan import Plan, PlanLeg

register = template.Library()
register.filter("percent", share_text)

# From which multiple of the ordinary rate a leg is drawn in the next shade.
SHADES_FROM = (0.75, 1.5, 3.0)


@register.filter
def rate(value: float) -> str:
    """Write a rate or count with as many digits as mean anything."""
    return number_of(value)


@register.filter
def limits(value: Interval) -> str:
    """Write an interval."""
    return interval_words(value)


@register.filter
def evidence(row: Row) -> str:
    """Say whether a row is flagged."""
    return evidence_of(row)


def shade(row: Row) -> int:
    """Return 0..3 by how many times the ordinary rate a leg fails, evened."""
    return sum(row.ratio >= least for least in SHADES_FROM)


def is_unsure(row: Row) -> bool:
    """Whether the ordinary rate lies within what would go with the leg's faults."""
    return row.ratio_limits.low <= 1 <= row.ratio_limits.high


@register.simple_tag
def hotspot_legs(plan: Plan, rows: Mapping[int, Row]) -> SafeString:
    """Return the legs of a plan by their evened rate; unsure ones are broken, flagged ringed."""
    lines = [(line, rows.get(line.leg.pk)) for line in plan.legs]
    # Flagged legs last, so that no other lies over them.
    lines.sort(key=lambda pair: pair[1] is not None and pair[1].is_flagged)
    return mark_safe("".join(_leg(line, row) for line, row in lines))


def _leg(line: PlanLeg, row: Row | None) -> str:
    path = line.path
    if row is None:
        said = f"{line.leg}: {_('not observed')}"
        return f'<path class="leg not-surveyed" d="{path}"><title>{escape(said)}</title></path>'
    said = _("%(leg)s: %(times)s times the ordinary rate, %(limits)s; %(evidence)s") % {
        "leg": line.leg,
        "times": number_of(row.ratio),
        "limits": interval_words(row.ratio_limits),
        "evidence": evidence_of(row),
    }
    drawn = ""
    if row.is_flagged:
        drawn = f'<path class="halo" d="{path}"/><path class="halo-inside" d="{path}"/>'
    drawn += f'<path class="leg rate-{shade(row)}" d="{path}"><title>{escape(said)}</title></path>'
    if is_unsure(row):
        drawn += f'<path class="unsure" d="{path}"/>'
    return f'<a href="{escape(line.url)}" tabindex="-1">{drawn}</a>' if line.url else drawn
