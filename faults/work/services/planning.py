"""Plan a job, change what it needs, split it, withdraw it and bring it back."""

from collections.abc import Sequence
from datetime import date, datetime

from django.utils.translation import gettext as _

from faults.cases.services.working_days import working_on
from faults.models import CLOSED_STAGES, Fault, Job, JobState
from faults.models.kind import kind_facts
from faults.work.services.arriving import refuse_unpromised
from faults.work.services.of_fault import call_back_from_fault, release_crew, send_for_fault
from faults.work.services.rules import (
    refuse_crew,
    refuse_facts,
    refuse_outside,
    refuse_unless_open,
    refuse_unless_planned,
    refuse_without_reason,
)
from faults.work.services.told import JobFacts, UnableToPlan, UnableToSend
from sites.kernel.engines.roles import Action
from sites.kernel.services.locking import lock_and_reload
from sites.kernel.services.verb_days import save_because
from sites.kernel.services.verbs import verb
from sites.models import Device, Property, Station, User

LONGEST_WHY = 200


@verb(
    name="plan a job",
    action=Action.PLAN_JOBS,
    guard="the property is in care; the fault, if any, is open and of this property, as are the "
    "stations and battery timers; at least one minute; due after it may begin; at most 20 ft deep",
    undo="withdraw a job",
)
def plan_job(
    *,
    place: Property,
    kind: str,
    facts: JobFacts,
    fault: Fault | None = None,
    stations: Sequence[Station] = (),
    devices: Sequence[Device] = (),
    by: User,
    today: date,
) -> Job:
    """Plan a visit. Nobody goes until it is assigned to a crew and a day."""
    if place.retired_on is not None and place.retired_on <= today:
        raise UnableToPlan(_("%s is retired. Bring it back first.") % place)
    _refuse_fault(fault, place)
    refuse_facts(facts)
    _refuse_strangers(place, stations, devices)
    opens = kind_facts(kind).opens_ground
    job = Job(property=place, kind=kind, fault=fault, opens_ground=opens)
    _set(job, facts)
    job._history_user = by  # type: ignore[attr-defined]
    job.save()
    job.stations.set(stations)
    job.devices.set(devices)
    return job


def _refuse_fault(fault: Fault | None, place: Property) -> None:
    if fault is None:
        return
    if fault.property_id != place.pk:
        raise UnableToPlan(_("This fault lies on another property."))
    if fault.stage in CLOSED_STAGES:
        raise UnableToPlan(_("This fault is closed. Open it again before a visit is planned."))


def _refuse_strangers(
    place: Property, stations: Sequence[Station], devices: Sequence[Device]
) -> None:
    for station in stations:
        if station.controller.property_id != place.pk:
            raise UnableToPlan(_("%s is on another property.") % station, field="stations")
    for device in devices:
        if device.property_id != place.pk:
            raise UnableToPlan(_("%s is on another property.") % device, field="devices")


@verb(
    name="change a job",
    action=Action.PLAN_JOBS,
    guard="it is planned or under way; as planning",
    undo="change it back, with the values that its history shows",
)
def change_job(*, job: Job, facts: JobFacts, by: User | None = None) -> None:
    """Change what a job needs. Who goes when is changed by moving it.

    Args:
        by: who stands for another priority, whatever waiting proposes; None = nobody.
    """
    refuse_unless_open(job)
    refuse_facts(facts)
    is_other = job.priority != facts.priority
    _set(job, facts)
    if is_other and by is not None:
        job.priority_by, job.priority_why = by, _("changed with the job")
        job.priority_overrules = True
    job.sequence += 1
    job.save()


def _set(job: Job, facts: JobFacts) -> None:
    job.expected_minutes, job.skill_needed = facts.expected_minutes, facts.skill_needed
    job.people_needed = facts.people_needed
    if job.priority != facts.priority:
        # Who set the one before did not set this one.
        job.priority_by, job.priority_why, job.priority_overrules = None, "", False
    job.priority, job.notes = facts.priority, facts.notes.strip()
    job.earliest_on, job.due_on = facts.earliest_on, facts.due_on
    job.equipment, job.parts_needed = facts.equipment.strip(), facts.parts_needed.strip()
    job.planned_depth_in = facts.planned_depth_in if job.digs() else None
    job.situations = [each.value for each in facts.situations]


@verb(
    name="split a job",
    action=Action.PLAN_JOBS,
    guard="it is planned or under way; the new part gets at least one minute and leaves one; a "
    "day for the new part as assigning it to the same crew",
    undo="join a part to its job again",
)
def split_job(
    *,
    job: Job,
    minutes: int,
    day: date | None = None,
    why: str = "",
    by: User,
    at: datetime,
    today: date,
) -> Job:
    """Take some of the expected minutes into a job of their own; the sum stays."""
    refuse_unless_open(job)
    if not 0 < minutes < job.expected_minutes:
        raise UnableToPlan(
            _("The new part takes more than 0 and less than the %s minutes expected now.")
            % job.expected_minutes,
            field="minutes",
        )
    part = _part_of(job, minutes)
    if day is not None:
        _put_on(part, job, day, today, why)
    part._history_user = by  # type: ignore[attr-defined]
    save_because(part, why.strip())
    part.stations.set(job.stations.all())
    part.devices.set(job.devices.all())
    job.expected_minutes -= minutes
    job.sequence += 1
    job.save()
    if day is not None:
        send_for_fault(part, on=today, by=by, at=at, today=today)
    return part


def _part_of(job: Job, minutes: int) -> Job:
    return Job(
        property=job.property,
        kind=job.kind,
        fault=job.fault,
        expected_minutes=minutes,
        skill_needed=job.skill_needed,
        people_needed=job.people_needed,
        priority=job.priority,
        priority_by=job.priority_by,
        priority_why=job.priority_why,
        priority_overrules=job.priority_overrules,
        earliest_on=job.earliest_on,
        due_on=job.due_on,
        equipment=job.equipment,
        parts_needed=job.parts_needed,
        planned_depth_in=job.planned_depth_in,
        situations=job.situations,
        soaked_on=job.soaked_on,
        rod_depth_in=job.rod_depth_in,
        notes=job.notes,
        split_from=job,
    )


def _put_on(part: Job, job: Job, day: date, today: date, why: str) -> None:
    if job.crew is None:
        raise UnableToSend(
            _("Nobody is assigned to this job yet: split it without a day, then assign each part."),
            field="day",
        )
    refuse_crew(job.crew, day, today)
    refuse_outside(part, day, why)
    refuse_without_reason(part, job.crew, day, None, why)
    refuse_unpromised(part, day, None, working_on(job.crew, day), why=why, today=today)
    part.crew, part.day = job.crew, day


@verb(
    name="join a part to its job again",
    action=Action.PLAN_JOBS,
    guard="both are open and nobody has started the part; it has no lines",
    undo="split a job",
)
def join_part(*, job: Job, by: User, at: datetime, today: date) -> Job:
    """Give the minutes of a part back to the job that it was split from, and withdraw the job."""
    refuse_unless_planned(job)
    if job.split_from is None:
        raise UnableToPlan(_("This job was not split from another one."))
    whole = job.split_from
    lock_and_reload([whole])
    refuse_unless_open(whole)
    if job.lines.standing().exists():
        raise UnableToPlan(_("This part has lines already. Strike them out first, or keep it."))
    whole.expected_minutes += job.expected_minutes
    whole.sequence += 1
    whole.save()
    _withdraw(job, _("joined to its job again"), by=by, at=at, today=today)
    return whole


@verb(
    name="withdraw a job",
    action=Action.PLAN_JOBS,
    guard="it is planned and nobody has started it; a reason in words",
    undo="bring a job back",
)
def withdraw_job(*, job: Job, why: str, by: User, at: datetime, today: date) -> None:
    """Withdraw the visit; stations that only it was to visit go back to reported."""
    refuse_unless_planned(job)
    words = why.strip()
    if not words:
        raise UnableToPlan(_("Say in a few words why it is withdrawn."), field="why")
    _withdraw(job, words, by=by, at=at, today=today)


def _withdraw(job: Job, why: str, *, by: User, at: datetime, today: date) -> None:
    was_sent = job.crew_id is not None and job.day is not None
    job.state, job.why_withdrawn = JobState.WITHDRAWN, why[:LONGEST_WHY]
    job.is_locked = False
    job.sequence += 1
    save_because(job, why)
    if was_sent:
        call_back_from_fault(job, why=why, by=by, at=at, today=today)
        release_crew(job, job.crew_id, job.day, today=today)


@verb(
    name="bring a job back",
    action=Action.PLAN_JOBS,
    guard="it was withdrawn; its property is in care and its fault open",
    undo="withdraw a job",
)
def bring_job_back(*, job: Job) -> None:
    """Plan a withdrawn job again. It comes back without a crew and day: assign it again."""
    if job.state != JobState.WITHDRAWN:
        raise UnableToPlan(_("This job was not withdrawn."))
    if job.property.retired_on is not None:
        raise UnableToPlan(_("%s is retired. Bring it back first.") % job.property)
    _refuse_fault(job.fault, job.property)
    job.state, job.why_withdrawn = JobState.PLANNED, ""
    # Its kind may have changed while it was away.
    job.opens_ground = kind_facts(job.kind).opens_ground
    job.crew = job.day = job.starts_at = None
    job.sequence += 1
    job.save()
