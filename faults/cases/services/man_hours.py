"""Man-hours of visits: of the people who were there, else of the crew, and what lines name of them.

A visit of two people takes two. What is entered of people goes before what the crew would take.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Exists, F, OuterRef, Q, QuerySet, Sum

from faults.cases.engines.labour import hours_open, usual_charge
from faults.cases.services.working_days import working_days
from faults.models import Crew, CrewMember, Job, JobLine, JobState, LineKind, PersonAway, WorkDay
from faults.prices.engines.pricing import Charge
from sites.models import today_at

MINUTES_PER_HOUR = 60
# First day and the day after the last, if it ended: of each member, by the crew's key.
Days = tuple[date, date | None]
Members = Mapping[int, Sequence[Days]]

HOURLY = (LineKind.TIME, LineKind.STANDBY)
# How people write hours in the unit of a line.
HOUR_UNITS = {"h", "hr", "hrs", "hour", "hours"}
# Lines are rounded to a hundredth of an hour: less than that is not missing.
LEAST_H = Decimal("0.01")


def in_hours(man_min: float) -> Decimal:
    """Return man-minutes as man-hours, exact to far below a second."""
    return round(Decimal(man_min), 6) / MINUTES_PER_HOUR


def people_on(job: Job, day: date) -> int:
    """Return how many people a visit takes: the crew of the day, or one."""
    return _people(job, day, visits_made([], jobs=[job])[1])


def visits_made(
    faults: Collection[int],
    *,
    jobs: Iterable[Job] = (),
    also: Collection[int] = (),
    at: datetime | None = None,
) -> tuple[list[Job], Members]:
    """Return the visits of these faults that began, and the days of each crew's members.

    Args:
        jobs: jobs whose crews are read too, in the same query.
        also: keys of further visits to return.
        at: leave out visits that began later.
    """
    planned = [*also, *(job.pk for job in jobs if job.crew_id is not None)]
    rows = Job.objects.filter(Q(fault__in=faults, started_at__isnull=False) | Q(pk__in=planned))
    rows_of_members: QuerySet[Any] = rows.select_related("property", "crew").annotate(
        has_absences=Exists(_members_with_absences()),
        member=F("crew__members__pk"),
        member_from=F("crew__members__from_on"),
        member_to=F("crew__members__to_on"),
        person=F("people__pk"),
        person_did=F("people__did"),
        person_minutes=F("people__minutes"),
        person_removed=F("people__removed_on"),
    )
    visits: dict[int, Job] = {}
    members: dict[int, dict[int, Days]] = {}
    people: dict[int, dict[int, tuple[str, int]]] = {}
    in_doubt: dict[Crew, set[date]] = {}
    for row in rows_of_members.order_by("pk", "member", "person"):
        if row.started_at is not None and row.state != JobState.WITHDRAWN:
            visits[row.pk] = row
        if row.person is not None and row.person_removed is None:
            people.setdefault(row.pk, {})[row.person] = (row.person_did, row.person_minutes)
        if row.member is not None and row.crew_id is not None:
            days = row.member_from, row.member_to
            members.setdefault(row.crew_id, {})[row.member] = days
            if row.has_absences:
                in_doubt.setdefault(row.crew, set()).update(_days_of(row))
    for key, job in visits.items():
        if key in people:
            job.there = minutes_by_charge(people[key].values())
    made = [job for job in visits.values() if at is None or (job.started_at or at) <= at]
    known = {crew: list(days.values()) for crew, days in members.items()}
    return made, _with_absences(known, in_doubt)


def _members_with_absences() -> QuerySet[CrewMember]:
    """Those of a job's crew who were ever away, or have weekdays of their own."""
    away = PersonAway.objects.filter(user=OuterRef("user"))
    weekdays = WorkDay.objects.filter(user=OuterRef("user"))
    return CrewMember.objects.filter(Exists(away) | Exists(weekdays), crew=OuterRef("crew"))


def _days_of(job: Job) -> set[date]:
    """Return the days on which people of a visit are counted: planned, and as it began."""
    days = {day_of(job)} if job.started_at is not None else set()
    return days if job.day is None else {*days, job.day}


def _with_absences(
    members: dict[int, list[Days]], in_doubt: Mapping[Crew, Collection[date]]
) -> Members:
    """Count on each of these days who was there, as the board counts them.

    It is asked only where someone of a crew was ever away, so that it costs nothing elsewhere.
    """
    days = {day for each in in_doubt.values() for day in each}
    found = working_days(list(in_doubt), days)
    for crew, asked in in_doubt.items():
        for day in asked:
            after = day + timedelta(days=1)
            there = found[crew.pk, day].people
            rest = [piece for each in members[crew.pk] for piece in _without(each, day)]
            members[crew.pk] = [*rest, *[(day, after)] * there]
    return members


def _without(days: Days, day: date) -> list[Days]:
    """Return the days of a member but for one."""
    start, end = days
    if day < start or (end is not None and day >= end):
        return [days]
    after = day + timedelta(days=1)
    pieces: list[Days] = [(start, day)] if start < day else []
    return [*pieces, (after, end)] if end is None or after < end else pieces


def expected_man_min(job: Job, day: date, members: Members) -> float:
    """Return what a visit of this day is expected to take, each person's minutes."""
    return float(job.expected_minutes * _people(job, day, members))


def spent_man_min(job: Job, members: Members, *, at: datetime | None = None) -> float:
    """Return what a visit took; under way, what it ran up to a moment.

    Once people were entered, their minutes are what a finished visit took; one under way takes
    them at least. Where nobody was entered, everybody in the crew was there all the time. Without
    a moment, a visit under way counts with what it is expected to take: lists and the gate ask so,
    because what it still needs is no longer there for another one.
    """
    assert job.started_at is not None
    entered = float(sum((job.there or {}).values()))
    if job.actual_minutes is not None:
        if entered:
            return entered
        minutes = float(job.actual_minutes)
    elif at is None:
        minutes = float(job.expected_minutes)
    else:
        minutes = (at - job.started_at).total_seconds() / MINUTES_PER_HOUR
    return max(minutes * _people(job, day_of(job), members), entered)


def hours_by_charge(
    job: Job, members: Members, *, at: datetime | None = None
) -> dict[Charge, Decimal]:
    """Return the man-hours of a visit by what was done; what nobody said is its usual work."""
    spent = spent_man_min(job, members, at=at)
    entered = {Charge(did): float(minutes) for did, minutes in (job.there or {}).items()}
    usual = usual_charge(digs=job.digs())
    entered[usual] = entered.get(usual, 0.0) + spent - sum(entered.values())
    return {charge: in_hours(minutes) for charge, minutes in entered.items() if minutes}


def minutes_by_charge(people: Iterable[tuple[str, int]]) -> dict[str, int]:
    """Return the sum of (what was done, minutes) by what was done."""
    found: dict[str, int] = {}
    for did, minutes in people:
        found[did] = found.get(did, 0) + minutes
    return found


def day_of(job: Job) -> date:
    """Return the day on which a visit began, at the property."""
    assert job.started_at is not None
    return today_at(job.property, job.started_at)


def _people(job: Job, day: date, members: Members) -> int:
    if job.crew_id is None:
        return 1
    there = members.get(job.crew_id, ())
    return sum(start <= day and (end is None or day < end) for start, end in there) or 1


def hours_booked(lines: Iterable[JobLine]) -> dict[int, dict[Charge | None, Decimal]]:
    """Return the hours that lines name, by job and by what was done; None = the line names none."""
    booked: dict[int, dict[Charge | None, Decimal]] = {}
    for line in lines:
        if line.kind not in HOURLY or line.unit.strip().casefold() not in HOUR_UNITS:
            continue
        charge = Charge(line.charge) if line.charge else None
        if charge is None and line.kind == LineKind.STANDBY:
            charge = Charge.STANDBY
        of_job = booked.setdefault(line.job_id, {})
        of_job[charge] = of_job.get(charge, Decimal(0)) + line.quantity
    return booked


def open_of(
    job: Job,
    members: Members,
    booked: Mapping[int, Mapping[Charge | None, Decimal]],
    *,
    at: datetime | None = None,
) -> dict[Charge, Decimal]:
    """Return the hours of a visit that no line names yet, by what was done."""
    done = hours_by_charge(job, members, at=at)
    found = hours_open(done, booked.get(job.pk, {}))
    return {charge: hours for charge, hours in found.items() if hours > LEAST_H}


def entered_man_min(job: Job) -> int:
    """Return the man-minutes of the people who are entered on a visit, 0 where nobody is."""
    found: int | None = job.people.filter(removed_on=None).aggregate(all=Sum("minutes"))["all"]
    return found or 0
