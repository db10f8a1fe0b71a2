"""What the kept forecast says, in one line."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _


def headline(found: Mapping[str, Any]) -> str:
    """Say how many are off in half a year, and how sure that is."""
    low, _quarter, middle, _three, high = (round(point) for point in found["half_year"])
    numbers = {"off": found["off"], "low": low, "middle": middle, "high": high}
    if found["off"] < low:
        return _("More will be off in half a year: %(low)s to %(high)s, now %(off)s") % numbers
    if found["off"] > high:
        return _("Fewer will be off in half a year: %(low)s to %(high)s, now %(off)s") % numbers
    return _("About %(middle)s off in half a year, %(low)s to %(high)s; now %(off)s") % numbers
