"""What is said of a crew as a whole, and what cannot be."""

from dataclasses import dataclass
from datetime import time
from decimal import Decimal

from django.utils.translation import gettext as _

from faults.models import CURRENCY, ClosedDays
from sites.kernel.services.verbs import UnableToAct


class UnableToSetUpCrew(UnableToAct):
    """A crew, a member or days away that cannot be so."""


@dataclass(frozen=True)
class CrewFacts:
    """What is said of a crew as a whole."""

    name: str
    starts_at: time
    ends_at: time
    vehicle: str = ""
    yard_latitude: float | None = None
    yard_longitude: float | None = None
    break_from: time | None = None
    break_to: time | None = None
    second_break_from: time | None = None
    second_break_to: time | None = None
    holidays: ClosedDays | None = None
    overtime_minutes: int | None = None
    hour_costs: Decimal | None = None
    overtime_hour_costs: Decimal | None = None
    costs_currency: str = ""


def refuse_breaks(facts: CrewFacts) -> None:
    """Refuse a break without both its ends or outside the hours, and two at the same time."""
    first = _break_of(facts, "break_from", "break_to")
    second = _break_of(facts, "second_break_from", "second_break_to")
    if first and second and first[0] < second[1] and second[0] < first[1]:
        raise UnableToSetUpCrew(
            _("The two breaks are at the same time. Correct one of them."),
            field="second_break_from",
        )


def _break_of(facts: CrewFacts, name: str, until: str) -> tuple[time, time] | None:
    begins: time | None = getattr(facts, name)
    ends: time | None = getattr(facts, until)
    if (begins is None) != (ends is None):
        raise UnableToSetUpCrew(_("A break needs both times, or neither."), field=until)
    if begins is None or ends is None:
        return None
    if ends <= begins:
        raise UnableToSetUpCrew(_("The break must end after it begins."), field=until)
    if begins <= facts.starts_at or ends >= facts.ends_at:
        raise UnableToSetUpCrew(
            _("The break lies between start and end of work. Correct a time."), field=name
        )
    return begins, ends


def refuse_overtime(facts: CrewFacts) -> None:
    """Refuse overtime of which not all is said, and what cannot be."""
    parts = {
        "overtime_minutes": facts.overtime_minutes,
        "hour_costs": facts.hour_costs,
        "overtime_hour_costs": facts.overtime_hour_costs,
        "costs_currency": facts.costs_currency or None,
    }
    missing = [name for name, value in parts.items() if value is None]
    if len(missing) == len(parts):
        return
    if missing:
        raise UnableToSetUpCrew(
            _("Overtime needs its minutes, both costs and their currency, or none of them."),
            field=missing[0],
        )
    at_most, hour = facts.overtime_minutes or 0, facts.hour_costs or 0
    ends = facts.ends_at.hour * 60 + facts.ends_at.minute
    if not 0 < at_most < 24 * 60 - ends:
        raise UnableToSetUpCrew(
            _("Overtime is at least a minute, and ends before midnight."),
            field="overtime_minutes",
        )
    if hour <= 0 or (facts.overtime_hour_costs or 0) < 0:
        raise UnableToSetUpCrew(_("An hour costs more than nothing."), field="hour_costs")
    if not CURRENCY.regex.match(facts.costs_currency):  # type: ignore[union-attr]
        raise UnableToSetUpCrew(_("Three capital letters, such as USD."), field="costs_currency")
