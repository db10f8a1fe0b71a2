"""Visits that are over, with the people who were there and their lines; one batch was given."""

from datetime import date, datetime, time, timedelta
from decimal import Decimal

from faults.billing.services.giving import give_to_books
from faults.cases.engines.stages import Stage
from faults.models import Crew, Fault, Job, JobKind, JobLine, LineBasis, LineKind
from faults.prices.engines.pricing import Charge
from faults.work.services.defaults import facts_for
from faults.work.services.doing import finish_job, start_job
from faults.work.services.lines import add_line
from faults.work.services.people import Times, note_people
from faults.work.services.planning import plan_job
from faults.work.services.told import LineFacts
from sites.models import User

# Minutes of each visit, and how many days ago it was.
VISITS = ((95, 6), (140, 4), (70, 2))
BEGAN = time(9, 0)


def make_demo_bills(*, crew: Crew, hand: User, by: User, at: datetime, today: date) -> None:
    """Finish the tracing of faults that are found since; the first visit's lines are in a batch."""
    rows = Fault.objects.filter(stage=Stage.FOUND.value).select_related("property")
    found = list(rows.order_by("reported_on", "pk")[: len(VISITS)])
    for n, (fault, (minutes, days)) in enumerate(zip(found, VISITS, strict=False)):
        day = today - timedelta(days=days)
        job = _visit(fault, crew, hand, minutes, day, by=by, at=at, today=today)
        if n == 0:
            lines = list(JobLine.objects.filter(job=job))
            give_to_books(lines=lines, given_on=today - timedelta(days=1), by=by, today=today)


def _visit(
    fault: Fault, crew: Crew, hand: User, minutes: int, day: date, *, by: User, at: datetime,
    today: date,
) -> Job:  # fmt: skip
    kind = JobKind.LOCATE
    facts = facts_for(kind, fault)
    job = plan_job(
        place=fault.property, kind=kind.value, facts=facts, fault=fault, by=by, today=today
    )
    job.crew, job.day, job.starts_at = crew, day, BEGAN
    job.save()
    ended = (datetime.combine(day, BEGAN) + timedelta(minutes=minutes)).time()
    times = Times(day, BEGAN, ended)
    came, left = times.at(fault.property)
    start_job(job=job, at=came, today=day, by=hand)
    note_people(
        job=job, people=[hand], others=[], did=Charge.TRACING.value, times=times, by=hand, at=at
    )
    finish_job(job=job, actual_minutes=minutes, at=left, by=hand)
    line = LineFacts(
        kind=LineKind.TIME.value,
        basis=LineBasis.BILLABLE.value,
        on=day,
        what="tracing",
        quantity=(Decimal(minutes) / 60).quantize(Decimal("0.01")),
        unit="h",
        charge=Charge.TRACING.value,
        price_by_rate=True,
    )
    add_line(job=job, facts=line, by=by, today=today)
    return job
