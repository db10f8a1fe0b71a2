"""What stands in the form of a quote when it is opened: the last version, else what is known."""

from datetime import date, datetime, timedelta
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from typing import Any

from django.utils.translation import gettext as _

from faults.cases.services.man_hours import in_hours
from faults.cases.services.spending import spending_of
from faults.locating.services.minutes import search_minutes
from faults.models import Fault, Quote, QuotePurpose
from faults.quotes.engines.quoting import OptionKind
from faults.quotes.queries import deepest_break_in
from faults.work.services.ground_words import ground_of
from sites.models import today_at

VALID = timedelta(days=30)
QUARTER_H = Decimal("0.25")
# A pit in which one can kneel: our choice, to be changed on the form.
USUAL_LENGTH_FT, USUAL_WIDTH_IN = 3.0, 24.0


def prefilled(fault: Fault, purpose: str, *, at: datetime) -> dict[str, Any]:
    """Return what the form starts with; the depth and the hours so far are always of today."""
    today = today_at(fault.property, at)
    last = Quote.objects.filter(fault=fault, purpose=purpose).order_by("-version").first()
    start: dict[str, Any] = {"valid_until": today + VALID, "trips": 1, "travel_h": "0"}
    start["shows_plan"] = True
    if last is not None:
        start |= last.facts
    if purpose == QuotePurpose.SEARCH:
        return _of_search(start, fault, today, is_first=last is None)
    return _of_dig(start, fault, at, is_first=last is None)


def _of_search(
    start: dict[str, Any], fault: Fault, today: date, *, is_first: bool
) -> dict[str, Any]:
    found = search_minutes(fault, today=today)
    if is_first:
        start["options"] = [OptionKind.SEARCH.value, OptionKind.TIMER.value]
    if found is not None:
        hours = Decimal(found.nine_of_ten) / 60
        start["searching_h"] = (hours / QUARTER_H).to_integral_value(ROUND_CEILING) * QUARTER_H
    return start


def _of_dig(start: dict[str, Any], fault: Fault, at: datetime, *, is_first: bool) -> dict[str, Any]:
    used = in_hours(spending_of(fault, at=at).used_man_min)
    start["searching_h"] = used.quantize(Decimal("0.01"), ROUND_HALF_UP)
    if (deepest := deepest_break_in(fault)) is not None:
        start["depth_in"] = deepest
    if is_first:
        start |= {
            "length_ft": USUAL_LENGTH_FT,
            "width_in": USUAL_WIDTH_IN,
            "ground": ground_of(fault.property.soil),
            "options": [OptionKind.WE_DIG.value, OptionKind.YOU_DIG.value, OptionKind.TIMER.value],
            "found": _found_words(fault),
        }
    return start


def _found_words(fault: Fault) -> str:
    one = fault.breaks.filter(mended_on__isnull=True).order_by("running_number").first()
    if one is None:
        return fault.cause_outside
    cause = one.get_cause_display()
    if one.damage:
        cause = f"{cause} ({one.get_damage_display()})"
    return _("The break is found. Cause: %s.") % cause
