"""Days with something to see: overtime and breaks, a repair behind its locate, a priority that was
overruled, and one fault whose stations are promised for different days."""

from datetime import date, datetime, time
from decimal import Decimal

from django.db.models import Count

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
from sites.models import User
from sites.register.services.contacts import give_authority

WEEKDAYS = range(5)
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
