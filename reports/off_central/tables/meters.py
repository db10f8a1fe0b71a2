"""Figures of a station's meter in a cell."""

from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from sites.models import Meter, SpellPart
from sites.templatetags.water import lacks_words


def meter_of(record: SpellPart) -> Meter | None:
    """Return the meter of the row's spell; a spell that is new to the ledger has none yet."""
    found: Meter | None = getattr(record.spell, "meter", None)
    return found


def meter_cell(
    meter: Meter | None, shown: str | None, *, is_least: bool, lacks: str = ""
) -> SafeString:
    """Show a figure of a meter: never 0 for want of data, and never an old one as if it held."""
    if meter is None or meter.counted_until is None:
        return format_html('<span class="soft">{}</span>', _("being worked out"))
    if shown is None:
        return format_html(
            '{} <span class="small soft">{}</span>', _("not known"), lacks_words(lacks)
        )
    return format_html('<span class="nowrap">{}{}</span>', "≥\u00a0" if is_least else "", shown)
