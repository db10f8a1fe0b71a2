"""What the kept forecast says, in one line, and whether it is to be trusted."""

from collections.abc import Mapping
from enum import Enum
from typing import Any

from django.utils.translation import gettext as _


class Best(Enum):
    """What did best over past forecasts, by its score."""

    OURS = "ours"
    SAME = "as many as now"
    LINE = "a straight line"
    NOT_KNOWN = "not known"


def best_of(scores: Mapping[str, Any]) -> Best:
    """Return what did best; our forecast only where it beat both simple rules."""
    every = scores["all"]
    if every is None:
        return Best.NOT_KNOWN
    ours, same, line = (every[name]["score"] for name in ("ours", "same", "line"))
    if ours < min(same, line):
        return Best.OURS
    return Best.SAME if same <= line else Best.LINE


def better_than_ours(found: Mapping[str, Any]) -> Best | None:
    """Return the simple rule that did better than our forecasts; None where none did.

    What a forecast says that did worse than a simple rule is stated on no page but its own, which
    shows how past forecasts did.
    """
    best = best_of(found["scores"])
    return best if best in (Best.SAME, Best.LINE) else None


def trusted(found: Mapping[str, Any]) -> str:
    """Say what to expect, for pages that do not show how past forecasts did."""
    best = better_than_ours(found)
    if best is Best.SAME:
        return _("So far “as many as now” did better than our forecasts: now %(off)s off") % {
            "off": found["off"]
        }
    if best is Best.LINE:
        return _("So far a straight line did better than our forecasts; now %(off)s off") % {
            "off": found["off"]
        }
    return headline(found)


def headline(found: Mapping[str, Any]) -> str:
    """Say how many are off in half a year, and how sure that is."""
    low, _quarter, middle, _three, high = (round(point) for point in found["half_year"])
    numbers = {"off": found["off"], "low": low, "middle": middle, "high": high}
    if found["off"] < low:
        return _("More will be off in half a year: %(low)s to %(high)s, now %(off)s") % numbers
    if found["off"] > high:
        return _("Fewer will be off in half a year: %(low)s to %(high)s, now %(off)s") % numbers
    return _("About %(middle)s off in half a year, %(low)s to %(high)s; now %(off)s") % numbers
