"""What tables of water share: how a figure of a meter is shown, and in which order."""

from typing import Any

from django.db.models import F
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from sites.models import Meter
from sites.templatetags.water import lacks_words, least, says_nothing


def meter_cell(
    meter: Meter | None, shown: str | None, *, is_least: bool, lacks: str = ""
) -> SafeString:
    """Show a figure of a meter: never 0 for want of data, and never an old one as if it held."""
    if meter is None or meter.counted_until is None:
        return format_html('<span class="soft">{}</span>', _("being worked out"))
    if shown is None or says_nothing(shown, is_least):
        return format_html(
            '{} <span class="small soft">{}</span>', _("not known"), lacks_words(lacks)
        )
    return format_html('<span class="nowrap">{}</span>', least(shown, is_least))


def known_first(rows: Any, name: str, is_descending: bool) -> Any:
    """Order rows by a figure; what is not known comes last, whichever way the rest goes."""
    field = F(name)
    order = field.desc(nulls_last=True) if is_descending else field.asc(nulls_last=True)
    return rows.order_by(order)
