"""Who is to trace a fault. A subcontracted tracer sees only faults that are assigned."""

from datetime import date

from django.utils.translation import gettext as _

from faults.access import tracers_on
from faults.models import CLOSED_STAGES, Assignment, Crew, CrewMember, Fault
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import User


class UnableToAssign(UnableToAct):
    """The fault cannot be assigned to this person."""


class UnableToEndAssignment(UnableToAct):
    """The assignment cannot be ended so."""


@verb(
    name="assign a fault",
    action=Action.ASSIGN_FAULT,
    guard="the fault is open; the person is a technician or tracer on this property, and is not "
    "assigned already",
    undo="end an assignment",
)
def assign_fault(*, fault: Fault, who: User, from_on: date) -> Assignment:
    """Assign a fault to a person from a day on."""
    _refuse_assignment(fault, who)
    if fault.assignments.filter(user=who, to_on__isnull=True).exists():
        raise UnableToAssign(_("%s is assigned to this fault already.") % who, field="who")
    return Assignment.objects.create(fault=fault, user=who, from_on=from_on)


@verb(
    name="end an assignment",
    action=Action.ASSIGN_FAULT,
    guard="it has not ended; a day on which it had begun",
    undo="assign the fault again",
)
def end_assignment(*, assignment: Assignment, on: date) -> None:
    """End a person's assignment: a tracer no longer sees the fault."""
    if assignment.to_on is not None:
        raise UnableToEndAssignment(_("This assignment has ended already."))
    assignment.to_on = max(on, assignment.from_on)
    assignment.save()


def assign_for_a_day(fault: Fault, who: User, day: date) -> None:
    """Assign a person from the day of a visit on; an existing assignment gets the new day.

    Raises:
        UnableToAssign: this person traces no faults here.
    """
    _refuse_assignment(fault, who)
    held = fault.assignments.filter(user=who, to_on__isnull=True).first()
    if held is None:
        Assignment.objects.create(fault=fault, user=who, from_on=day)
    elif held.from_on != day:
        held.from_on = day
        held.save()


def give_fault_to_crew(fault: Fault, crew: Crew, day: date) -> None:
    """Let the technicians and tracers of a crew see the fault from the day of their visit on.

    Who holds it from an earlier day keeps that day.
    """
    members = CrewMember.objects.on(day).filter(crew=crew)
    for who in tracers_on(fault.property).filter(pk__in=members.values("user")).order_by("pk"):
        held = fault.assignments.filter(user=who, to_on__isnull=True).first()
        if held is None:
            Assignment.objects.create(fault=fault, user=who, from_on=day)
        elif held.from_on > day:
            held.from_on = day
            held.save()


def end_assignments_of(fault: Fault, *, on: date) -> None:
    """End what is still assigned when the fault closes."""
    for held in fault.assignments.filter(to_on__isnull=True).order_by("pk"):
        end_assignment(assignment=held, on=on)


def _refuse_assignment(fault: Fault, who: User) -> None:
    if fault.stage in CLOSED_STAGES:
        raise UnableToAssign(_("This fault is closed. Open it again first."))
    if not tracers_on(fault.property).filter(pk=who.pk).exists():
        raise UnableToAssign(
            _("%s is no technician or tracer on this property.") % who, field="who"
        )
