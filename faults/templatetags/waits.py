"""How what a station waits on reads on a page."""

from datetime import date
from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from faults.models import MOVER_CHOICES, WAITS_ON_CHOICES
from faults.waits.engines.waits import Mover, WaitsOn

register = template.Library()

WAITS_WORDS = dict(WAITS_ON_CHOICES)
MOVER_WORDS = dict(MOVER_CHOICES)

# To a client "ours" would be its own.
TO_A_CLIENT = MOVER_WORDS | {
    Mover.OURS.value: gettext_lazy("the contractor"),
    Mover.CLIENT.value: gettext_lazy("you"),
}

# As the lead of a list: "12 wait on us".
ON_WHOM = {
    Mover.OURS.value: gettext_lazy("us"),
    Mover.CLIENT.value: gettext_lazy("the client"),
    Mover.CENTRAL.value: gettext_lazy("central's operator"),
    Mover.UTILITIES.value: gettext_lazy("the utilities"),
    Mover.WEATHER.value: gettext_lazy("the weather"),
}


@register.filter
def waits_word(value: str) -> str:
    """Say what a station waits on."""
    return str(WAITS_WORDS.get(value, value))


@register.filter
def wait_word(wait: Any) -> str:
    """Say what a wait, or a group of alike ones, is for; where the station runs from central no
    timer stands in for it."""
    if wait.on_central and wait.waits_on == WaitsOn.RETURN:
        return _("the return to central control to be entered")
    return waits_word(wait.waits_on)


@register.filter
def mover_word(value: str, sees_work: Any = True) -> str:
    """Say whose move it is; who does not see the work is a client."""
    return str((MOVER_WORDS if sees_work else TO_A_CLIENT).get(value, value))


@register.simple_tag
def waits_count(mover: str, count: int) -> str:
    """Write "12 wait on us"."""
    words = ngettext("%(n)s waits on %(whom)s", "%(n)s wait on %(whom)s", count)
    return words % {"n": f"{count:,}", "whom": ON_WHOM.get(mover, mover)}


def days_words(since: date | None, until: date | None) -> str:
    """Write since when the wait lasts, and until when where a day is set."""
    if since is None:
        return ""
    if until is None:
        return _("since %s") % since.isoformat()
    return _("since %(since)s, until %(until)s") % {
        "since": since.isoformat(),
        "until": until.isoformat(),
    }


@register.simple_tag
def waits(wait: Any, sees_work: Any = True) -> SafeString:
    """Write what a station waits on, whose move it is, and since when.

    The day of a visit is for those who see the work; a client reads neither it nor "ours".
    """
    return format_html(
        '{}; <span class="nowrap">{}</span> <span class="small soft">{}</span>',
        wait_word(wait),
        _("whose move: %s") % mover_word(wait.mover, sees_work),
        days_words(wait.since, wait.until if sees_work else None),
    )
