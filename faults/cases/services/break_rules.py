"""What a break is made of, and the rules that recording and correcting one share."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from faults.cases.engines.warranty import warranty_end
from faults.models import Break, Cause, CauseSide, Fault
from sites.kernel.services.verb_days import refuse_ahead
from sites.kernel.services.verbs import UnableToAct
from sites.models import Leg, Point, Wire

DEEPEST_IN = 240.0
# Feet typed in metres come back a hair longer than the leg.
ROUNDING = 1e-3


class UnableToRecordBreak(UnableToAct):
    """The break cannot be so."""


@dataclass(frozen=True)
class BreakFacts:
    """What is known of one break. Without a leg it is no break of the wire, or not on the map."""

    leg: Leg | None = None
    feet_along: float | None = None
    from_point: Point | None = None
    found_on: date | None = None
    depth_in: float | None = None
    cause: str = Cause.NOT_KNOWN.value
    damage: str = ""
    wires: Sequence[Wire] = ()
    latitude: float | None = None
    longitude: float | None = None
    mended_on: date | None = None
    how_mended: str = ""
    warranty_until: date | None = None
    liable_party: str = ""
    notice_number: str = ""
    who_was_on_site: str = ""
    notes: str = ""


PLAIN = tuple(name for name in BreakFacts.__dataclass_fields__ if name != "wires")


def put(one: Break, facts: BreakFacts) -> None:
    """Write the facts into the row; the warranty follows the property's agreed days."""
    for name in PLAIN:
        setattr(one, name, getattr(facts, name))
    if one.mended_on and one.warranty_until is None:
        one.warranty_until = warranty_end(one.mended_on, one.fault.property.warranty_days)


def side_of(facts: BreakFacts | Break) -> str:
    """Return on which side of the fault's cause a break puts it, empty where it says nothing."""
    if facts.cause == Cause.VALVE:
        return CauseSide.VALVE.value
    return CauseSide.WIRE.value if facts.leg else ""


def refuse_what_cannot_be(fault: Fault, facts: BreakFacts, today: date) -> None:
    """Refuse facts that contradict each other or the ground."""
    _refuse_days(facts, today)
    _refuse_place(fault, facts)
    _refuse_wires(fault, facts)
    _refuse_position(facts)
    if facts.depth_in is not None and not 0 <= facts.depth_in <= DEEPEST_IN:
        raise UnableToRecordBreak(
            _("Nobody finds a control wire that deep. Check the depth and its unit."),
            field="depth_in",
        )


def _refuse_days(facts: BreakFacts, today: date) -> None:
    refuse_ahead(facts.found_on, today, field="found_on")
    refuse_ahead(facts.mended_on, today, field="mended_on")
    if facts.found_on and facts.mended_on and facts.mended_on < facts.found_on:
        raise UnableToRecordBreak(
            _("This was mended before it was found. Correct either day."), field="mended_on"
        )
    if facts.mended_on is None and facts.how_mended:
        raise UnableToRecordBreak(_("On which day was it mended?"), field="mended_on")
    if facts.warranty_until and (facts.mended_on is None or facts.warranty_until < facts.mended_on):
        raise UnableToRecordBreak(
            _("A warranty begins with the mend. Enter the day of the mend, or leave this empty."),
            field="warranty_until",
        )


def _refuse_place(fault: Fault, facts: BreakFacts) -> None:
    leg, feet = facts.leg, facts.feet_along
    if leg is None:
        if feet is not None:
            raise UnableToRecordBreak(_("Feet along which leg? Choose it."), field="leg")
        return
    if leg.property_id != fault.property_id:
        raise UnableToRecordBreak(_("This leg is another property's."), field="leg")
    if facts.from_point is not None and facts.from_point.pk not in (
        leg.from_point_id,
        leg.to_point_id,
    ):
        raise UnableToRecordBreak(
            _("Choose an end of this leg: %(start)s or %(end)s.")
            % {"start": leg.from_point, "end": leg.to_point},
            field="from_point",
        )
    if feet is not None and not 0 <= feet <= leg.length_ft + ROUNDING:
        raise UnableToRecordBreak(
            _(
                "The leg is shorter than that. Measure again, or correct the length of the leg "
                "first if that is wrong."
            ),
            field="feet_along",
        )


def _refuse_wires(fault: Fault, facts: BreakFacts) -> None:
    for wire in facts.wires:
        if wire.property_id != fault.property_id:
            raise UnableToRecordBreak(_("This wire is another property's."), field="wires")
    if facts.leg is None or not facts.wires:
        return
    here = set(facts.leg.holds.values_list("wire_id", flat=True))
    elsewhere = [str(wire) for wire in facts.wires if wire.pk not in here]
    if elsewhere:
        raise UnableToRecordBreak(
            _("These wires do not lie in leg %(leg)s: %(wires)s. Choose among those that do.")
            % {"leg": facts.leg, "wires": ", ".join(elsewhere)},
            field="wires",
        )


def _refuse_position(facts: BreakFacts) -> None:
    if (facts.latitude is None) != (facts.longitude is None):
        raise UnableToRecordBreak(
            _("A position is two numbers, latitude and longitude, or none."), field="latitude"
        )
    if facts.latitude is None or facts.longitude is None:
        return
    if abs(facts.latitude) > 90 or abs(facts.longitude) > 180:
        raise UnableToRecordBreak(
            _("This position is not on the globe: latitude up to 90, longitude up to 180."),
            field="latitude",
        )
