"""What a new job starts with. Every figure is a proposal: the form shows it to be changed."""

from datetime import date

from django.utils.translation import gettext as _

from faults.cases.engines.stages import CLOSED, Stage
from faults.events import SearchTime, SearchTimeAsked, ask
from faults.models import CauseSide, Fault, JobKind, Symptom
from faults.models.kind import first_kind, first_kinds, kind_facts
from faults.work.services.told import JobFacts

# What the next visit is for, by how far the fault has come.
KIND_BY_STAGE = {
    Stage.REPORTED: JobKind.LOCATE,
    Stage.SCHEDULED: JobKind.LOCATE,
    Stage.FOUND: JobKind.DIG,
    Stage.AGREED: JobKind.DIG,
    Stage.MENDED: JobKind.RETURN,
    Stage.PROVEN: JobKind.RETURN,
}
# What mends it where the trouble is not the wire.
KIND_BY_SIDE: dict[str, JobKind] = {
    CauseSide.VALVE.value: JobKind.VALVE,
    CauseSide.ELSEWHERE.value: JobKind.CONTROLLER,
}
# Which skill finds what. Common practice, no source: a leak or a fault that comes and goes hides
# from simple tests, an open or a short does not; where two wires touch, both read sound.
SKILL_BY_SYMPTOM = {
    Symptom.LEAK: 3,
    Symptom.COMES_AND_GOES: 3,
    Symptom.OPEN: 2,
    Symptom.SHORT: 2,
    Symptom.LOW_VOLTAGE: 2,
    Symptom.STAYS_ON: 2,
    Symptom.RUNS_WITH: 3,
    Symptom.SEVERAL_WEAK: 2,
    Symptom.NOT_KNOWN: 2,
}


# What wastes water now goes before all else.
NOW = 4


def kind_for(fault: Fault | None) -> JobKind:
    """Return what the next visit is most likely for; what was found outside the wire is no dig."""
    if fault is None or Stage(fault.stage) in CLOSED:
        return JobKind.CHECK_UP
    kind = KIND_BY_STAGE[Stage(fault.stage)]
    if kind is JobKind.LOCATE:
        return first_kind(fault.symptom)
    return KIND_BY_SIDE.get(fault.cause_side, kind) if kind is JobKind.DIG else kind


def facts_for(
    kind: JobKind, fault: Fault | None = None, search: SearchTime | None = None
) -> JobFacts:
    """Return what a job of this kind mostly needs.

    Args:
        search: how long the search of this fault takes, where that is known.
    """
    usual = kind_facts(kind.value)
    minutes = usual.minutes
    if kind is JobKind.LOCATE and search is not None:
        minutes = search.expected
    is_first = fault is not None and kind.value in first_kinds(fault.symptom)
    return JobFacts(
        expected_minutes=minutes,
        skill_needed=skill_for(kind, fault, usual.skill),
        people_needed=usual.people,
        priority=NOW if fault is not None and fault.wastes_water() else JobFacts.priority,
        equipment=usual.gear or equipment_for(kind),
        # What was promised is that someone comes: the first visit is due by it.
        due_on=fault.promised_on if fault is not None and is_first else None,
    )


def search_time(kind: JobKind, fault: Fault | None, today: date) -> SearchTime | None:
    """Return how long the search of a fault takes, for a job that searches; None = not known."""
    if kind is not JobKind.LOCATE or fault is None:
        return None
    return ask(SearchTimeAsked(fault, today))


def skill_for(kind: JobKind, fault: Fault | None, usual: int) -> int:
    """Return the skill that is mostly needed: a search's by its symptom, and never below usual."""
    if kind is JobKind.LOCATE and fault is not None:
        return max(SKILL_BY_SYMPTOM[Symptom(fault.symptom)], usual)
    return usual


def equipment_for(kind: JobKind) -> str:
    """Return what people mostly take along. Common practice, no source."""
    repair = _("multimeter, screwdrivers, valve key, wet-location splices, a spare coil")
    return {
        JobKind.LOCATE: _(
            "wire tracer and ground stake, multimeter, clamp meter, flags, valve key, slim rod"
        ),
        JobKind.DIG: _(
            "spades, hand tools, wet-location splices, wire, flags, tarpaulin, pump, tamper"
        ),
        JobKind.RETURN: _("24 VAC solenoid, wet-location splices, multimeter, valve key"),
        JobKind.CHECK_UP: _("multimeter, insulation tester, clamp meter, screwdrivers"),
        JobKind.BATTERIES: _("batteries, seals, valve key, multimeter"),
        JobKind.BRING_HOME: _(
            "multimeter with long leads, a coil of known ohms, clips, valve key, screwdrivers"
        ),
        JobKind.WALK: _("remote or a second person at the controller, flags, valve key"),
        JobKind.VALVE: repair,
        JobKind.COIL: repair,
        JobKind.CONTROLLER: _("multimeter, screwdrivers, spare fuses and output boards"),
        JobKind.NEW_WIRE: _("wire, spades, hand tools, wet-location splices, flags, tape"),
        JobKind.LEAK: _("spades, hand tools, pump, pipe, couplings, primer and cement"),
        JobKind.START_UP: _("valve key, multimeter, flags, spare heads and nozzles, gauge"),
        JobKind.SHUT_DOWN: _("valve key, screwdrivers, caps, tape"),
        JobKind.TWO_WIRE: _("clamp meter for small currents, multimeter, screwdrivers"),
        JobKind.INSPECTION: _("valve key, flags, gauge"),
    }[kind]
