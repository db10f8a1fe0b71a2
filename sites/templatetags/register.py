"""How the register's values read on a page: days, lengths, reasons."""

from datetime import date

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from sites.cells.engines.measures import DEPTH, LENGTH
from sites.cells.engines.units import FT_PER_M, LITRE_PER_GALLON, SQFT_PER_M2
from sites.kernel.links import page_of
from sites.models import REASON_CHOICES, Property, Units
from sites.stopgaps.engines.spells import Reason

register = template.Library()
# For links in a loop; `url` works an address out again for each.
register.simple_tag(page_of)

OPEN_FROM_OHMS = 1_000_000

# Colour and pattern of each reason; the word always stands beside them.
REASON_MARKS = {
    Reason.WIRE.value: ("wire", ""),
    Reason.VALVE.value: ("valve", "M0 8h16"),
    Reason.CONTROLLER.value: ("controller", "M8 0v16"),
    Reason.LINK_LOST.value: ("link", "M0 16L16 0"),
    Reason.CLIENT.value: ("client", "M0 0l16 16M16 0L0 16"),
    Reason.NOT_KNOWN.value: ("unknown", "M4 0v16M12 0v16"),
}
REASON_WORDS = dict(REASON_CHOICES)
STATE_WORDS = {
    "linked": gettext_lazy("on central control"),
    "off": gettext_lazy("off central control"),
    "temporary": gettext_lazy("on central control, for a time"),
    "outside": gettext_lazy("not meant to be under central control"),
    "not known": gettext_lazy("link not known"),
}


@register.filter
def day(value: date | None) -> str:
    """Write a day as 2026-03-14: the same in every country."""
    return value.isoformat() if value else ""


@register.simple_tag
def since(first: date, is_exact: bool) -> str:
    """Write the first day of a time that may have begun earlier."""
    return first.isoformat() if is_exact else _("at least since %s") % first.isoformat()


@register.simple_tag
def age(days: int, is_exact: bool) -> str:
    """Write a number of days, "at least" where the first day is not known."""
    text = ngettext("%(n)s day", "%(n)s days", days) % {"n": f"{days:,}"}
    return text if is_exact else _("at least %s") % text


@register.simple_tag
def feet(length_ft: float | None, place: Property) -> str:
    """Write a length in the property's units."""
    if length_ft is None:
        return ""
    return LENGTH.in_words(length_ft, place.units)


@register.simple_tag
def near_feet(length_ft: float, place: Property) -> str:
    """Write a length that may be a few feet: with a tenth where it is less than ten."""
    is_metric = place.units == Units.METRIC
    value = length_ft / float(FT_PER_M) if is_metric else length_ft
    return f"{value:,.{1 if abs(value) < 10 else 0}f} {'m' if is_metric else 'ft'}"


@register.simple_tag
def area(area_sqft: float | None, place: Property) -> str:
    """Write an area in the property's units."""
    if area_sqft is None:
        return ""
    if place.units == Units.METRIC:
        return f"{area_sqft / float(SQFT_PER_M2):,.0f} m²"
    return f"{area_sqft:,.0f} sq ft"


@register.simple_tag
def flow(flow_gpm: float | None, place: Property) -> str:
    """Write a flow in the property's units."""
    if flow_gpm is None:
        return ""
    if place.units == Units.METRIC:
        return f"{flow_gpm * float(LITRE_PER_GALLON):,.1f} l/min"
    return f"{flow_gpm:,.1f} gpm"


@register.simple_tag
def depth(depth_in: float | None, place: Property) -> str:
    """Write a depth in the property's units."""
    if depth_in is None:
        return ""
    return DEPTH.in_words(depth_in, place.units)


@register.simple_tag
def reason_swatch(reason: str) -> SafeString:
    """Draw a reason's swatch beside its word."""
    if reason not in REASON_MARKS:
        return mark_safe("")
    name, mark = REASON_MARKS[reason]
    return format_html(
        '<span class="reason"><svg viewBox="0 0 16 16" aria-hidden="true" focusable="false">'
        '<rect class="fill-{}" width="16" height="16" rx="2"/><path class="swatch-mark" d="{}"/>'
        "</svg>{}</span>",
        name,
        mark,
        REASON_WORDS[reason],
    )


@register.filter
def reason_fill(reason: str) -> str:
    """Return the CSS class that fills a shape with the reason's colour."""
    return f"fill-{REASON_MARKS[reason][0]}"


@register.filter
def reason_word(reason: str) -> str:
    """Return the word of a reason."""
    return str(REASON_WORDS.get(reason, reason))


@register.filter
def state_word(state: str) -> str:
    """Say how a station is controlled."""
    return str(STATE_WORDS[state])


@register.filter
def ohms(value: float) -> str:
    """Write ohms as a meter shows them; what no wire reads is open."""
    if value >= OPEN_FROM_OHMS:
        return _("open")
    return f"{value:,.1f} Ω" if value < 1000 else f"{value / 1000:,.1f} kΩ"


@register.simple_tag
def warmth(temperature_f: float, place: Property) -> str:
    """Write a temperature in the property's units."""
    if place.units == Units.METRIC:
        return f"{(temperature_f - 32) / 1.8:.0f} °C"
    return f"{temperature_f:.0f} °F"


@register.filter
def megohms(value: float) -> str:
    """Write insulation; what lies above a meter's range is more than it can show."""
    if value >= OPEN_FROM_OHMS:
        return _("above the meter's range")
    return f"{value:,.4g} MΩ" if value >= 1 else f"{value * 1000:,.4g} kΩ"


@register.filter
def signed_percent(share: float) -> str:
    """Write a share with its sign."""
    rounded = round(share * 100)
    return f"{rounded:+d} %" if rounded else "0 %"


@register.filter
def one_in(chance: float) -> str:
    """Write a chance as one in so many."""
    return f"{round(1 / chance):,}" if chance else "∞"


@register.filter
def missing_word(what: str) -> str:
    """Say what is not known, where an expected figure would stand."""
    words = {
        "run length": _("run not known"),
        "wire size": _("wire size not known"),
        "coil ohms": _("coil not known"),
        "two-wire path": _("two-wire path"),
    }
    return str(words.get(what, ""))
