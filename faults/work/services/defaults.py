"""What a new job starts with. Every figure is a proposal: the form shows it to be changed."""

from django.conf import settings
from django.utils.translation import gettext as _

from faults.cases.engines.stages import CLOSED, Stage
from faults.models import Fault, JobKind, Symptom
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
# Which skill finds what. Common practice, no source: a leak or a fault that comes and goes hides
# from simple tests, an open or a short does not.
SKILL_BY_SYMPTOM = {
    Symptom.LEAK: 3,
    Symptom.COMES_AND_GOES: 3,
    Symptom.OPEN: 2,
    Symptom.SHORT: 2,
    Symptom.LOW_VOLTAGE: 2,
    Symptom.NOT_KNOWN: 2,
}
SKILL_ELSEWHERE = {JobKind.CHECK_UP: 2, JobKind.BRING_HOME: 2}


def kind_for(fault: Fault | None) -> JobKind:
    """Return what the next visit is most likely for."""
    if fault is None or Stage(fault.stage) in CLOSED:
        return JobKind.CHECK_UP
    return KIND_BY_STAGE[Stage(fault.stage)]


def facts_for(kind: JobKind, fault: Fault | None = None) -> JobFacts:
    """Return what a job of this kind mostly needs."""
    return JobFacts(
        expected_minutes=settings.JOB_MINUTES[kind.value],
        skill_needed=skill_for(kind, fault),
        equipment=equipment_for(kind),
    )


def skill_for(kind: JobKind, fault: Fault | None) -> int:
    """Return the skill that is mostly needed."""
    if kind is JobKind.LOCATE:
        return SKILL_BY_SYMPTOM[Symptom(fault.symptom)] if fault is not None else 2
    return SKILL_ELSEWHERE.get(kind, 1)


def equipment_for(kind: JobKind) -> str:
    """Return what people mostly take along. Common practice, no source."""
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
    }[kind]
