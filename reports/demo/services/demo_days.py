"""Days with something to see: overtime and breaks, a repair behind its locate, a priority that was
overruled, one fault whose stations are promised for different days, and batteries that ended."""

from datetime import date, datetime, time, timedelta
from decimal import Decimal

from django.db.models import Count, Exists, OuterRef

from faults.cases.engines.stages import Stage
from faults.models import (
    CLOSED_STAGES,
    Crew,
    CrewMember,
    Fault,
    FaultStation,
    Job,
    JobKind,
    JobState,
)
from faults.promises.services.promising import offers_of, promise_a_day
from faults.rota.services.priorities import set_job_priority
from faults.work.services import assign_job, plan_job
from faults.work.services.crew_facts import CrewFacts
from faults.work.services.crews import change_crew
from faults.work.services.defaults import facts_for
from faults.work.services.working_weeks import set_crew_week, set_person_week
from sites.models import Device, Stopgap, User
from sites.register.services.contacts import give_authority
from sites.stopgaps.services.batteries import change_battery
from sites.water.services.battery_lives import InUse, conditions_of

WEEKDAYS = range(5)
LEFT_DUE = 4
# After how many days each was taken out, and how it was found: by whether its timer waters long,
# and whether it is a pack, which lasts longer.
BUSY_HOURS = 0.5
SETS = {
    (True, False): ((85, "empty"), (70, "empty")),
    (False, False): ((120, "empty"), (60, "charged")),
    (True, True): ((125, "empty"),),
    (False, True): ((150, "charged"),),
}
FRIDAY = 4
EARLY_BREAK, LATE_BREAK = (time(11, 0), time(11, 30)), (time(13, 0), time(13, 30))


def make_demo_days(
    *, crews: list[Crew], days: list[date], by: User, at: datetime, today: date
) -> None:
    """Add them to the work that is planned already; every figure is made up."""
    _allow_overtime(crews[0])
    week = dict.fromkeys(WEEKDAYS)
    set_crew_week(crew=crews[1], week=week, breaks={FRIDAY: EARLY_BREAK})
    member = CrewMember.objects.filter(crew=crews[0], to_on=None).order_by("-pk")[0]
    set_person_week(member=member, week=week, breaks=dict.fromkeys(WEEKDAYS, LATE_BREAK))
    _repair_behind_its_locate(by=by, today=today)
    _promise_apart(crews[0], days, by=by, at=at, today=today)
    _overrule(by=by, today=today)
    _change_batteries(today=today)


def _allow_overtime(crew: Crew) -> None:
    facts = {name: getattr(crew, name) for name in CrewFacts.__dataclass_fields__}
    facts |= {
        "overtime_minutes": 45,
        "hour_costs": Decimal("92.00"),
        "overtime_hour_costs": Decimal("138.00"),
        "costs_currency": "USD",
    }
    change_crew(crew=crew, facts=CrewFacts(**facts))


def _repair_behind_its_locate(*, by: User, today: date) -> None:
    """A coil is to be changed where the trouble was not found yet, and may be without asking."""
    waiting = Job.objects.filter(kind=JobKind.LOCATE, state=JobState.PLANNED, crew=None)
    sought = waiting.filter(fault__stage=Stage.REPORTED.value).select_related("fault__property")
    locate = sought.order_by("-pk")[0]
    fault = locate.fault
    assert fault is not None
    give_authority(
        place=fault.property,
        from_on=today,
        to_on=None,
        up_to_hours=Decimal(8),
        up_to_amount=None,
        given_by="the property's manager",
    )
    plan_job(
        place=fault.property,
        kind=JobKind.COIL.value,
        facts=facts_for(JobKind.COIL, fault),
        fault=fault,
        by=by,
        today=today,
    )


def _promise_apart(crew: Crew, days: list[date], *, by: User, at: datetime, today: date) -> None:
    """Two stations of one fault get visits of their own, and a promised day each."""
    rows = Fault.objects.exclude(stage__in=CLOSED_STAGES).filter(jobs=None, promises=None)
    counted = rows.annotate(total=Count("stations")).filter(total__gte=2)
    fault = counted.select_related("property").order_by("reported_on", "pk").first()
    if fault is None:
        return
    of_fault = FaultStation.objects.filter(fault=fault).select_related("station")
    for row, day in zip(of_fault.order_by("pk")[:2], (days[2], days[-1]), strict=True):
        job = plan_job(
            place=fault.property,
            kind=JobKind.LOCATE.value,
            facts=facts_for(JobKind.LOCATE, fault),
            fault=fault,
            stations=[row.station],
            by=by,
            today=today,
        )
        why = "the tracer of the other van comes along"
        assign_job(job=job, crew=crew, day=day, by=by, at=at, today=today, why=why)
    for offer in offers_of(fault, today=today, at=at):
        if offer.station is not None and not _is_promised(fault, offer.station.pk):
            promise_a_day(
                fault=fault, offer=offer, said_to="the manager", by=by, today=today, at=at
            )


def _is_promised(fault: Fault, station: int) -> bool:
    return fault.promises.filter(station=station).exists()


def _overrule(*, by: User, today: date) -> None:
    job = Job.objects.filter(kind=JobKind.LOCATE, state=JobState.PLANNED, crew=None)
    for one in job.select_related("fault", "property").order_by("pk")[:1]:
        set_job_priority(
            job=one,
            priority=1,
            why="the client is away until next month",
            by=by,
            today=today,
        )


def _change_batteries(*, today: date) -> None:
    """Sets that were taken out again, each said to be empty or not: the more a timer waters, the
    sooner. The oldest sets are still due."""
    rows = Device.objects.filter(battery_changed_on__lt=today, property__retired_on=None)
    there = rows.filter(Exists(Stopgap.objects.open().filter(device=OuterRef("pk"))))
    timers = list(there.exclude(battery_kind="").order_by("battery_changed_on", "pk"))[LEFT_DUE:]
    sets = [InUse(each.pk, today - timedelta(days=1), today) for each in timers]
    for device, conditions in zip(timers, conditions_of(sets), strict=True):
        on, is_pack = device.battery_changed_on, "pack" in device.battery_kind
        for days, found in SETS[(conditions.hours or 0) > BUSY_HOURS, is_pack]:
            if on is not None and (on := on + timedelta(days=days)) <= today:
                kind = device.battery_kind
                change_battery(device=device, on=on, kind=kind, found=found, today=today)
