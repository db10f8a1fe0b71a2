"""What was spent on a fault against the newest limit that holds: one rule for office and phone.

Man-hours are counted over all visits of the fault: a visit of two people takes two. Money is that
of all billable lines, given to the books or not, and of the hours for which no line stands yet, at
the price of their day. The newest yes on the fault sets the limit, else the newest standing
authority of the property; a newer, lower one replaces an older.
"""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from functools import cache
from typing import Any, Protocol

from django.db.models import Exists, F, OuterRef, Q, QuerySet

from faults.models import Authority, BatchLine, Fault, Job, JobLine, JobState, LineBasis, LineKind
from faults.prices.engines.pricing import Prices, amount_of
from faults.prices.services.holding import PriceBook
from sites.models import StandingAuthority, today_at

MINUTES_PER_HOUR = 60
# First day and the day after the last, if it ended: of each member, by the crew's key.
Days = tuple[date, date | None]
Members = Mapping[int, Sequence[Days]]


HOURLY = (LineKind.TIME, LineKind.STANDBY)
# How people write hours in the unit of a line.
HOUR_UNITS = {"h", "hr", "hrs", "hour", "hours"}
# Lines are rounded to a hundredth of an hour: less than that is not missing.
LEAST_H = Decimal("0.01")
NEAR = 0.8


class Limited(Protocol):
    """A limit: of a yes, of a standing authority, or of what was spent against one."""

    @property
    def up_to_hours(self) -> Decimal | None:
        """Man-hours; None = no limit of that kind."""

    @property
    def up_to_amount(self) -> Decimal | None:
        """Money before tax; None = no limit of that kind."""


@dataclass(frozen=True)
class Money:
    """Money that was spent, at least: `not_priced` lines and visits have no known price.

    `billed` is the part of it that is in batches given to the books.
    """

    amount: Decimal = Decimal(0)
    not_priced: int = 0
    billed: Decimal = Decimal(0)


@dataclass(frozen=True)
class Spending:
    """Man-minutes spent, and the limit that they count against; None = no limit of that kind."""

    used_man_min: float
    money: Money = Money()
    currency: str = ""
    up_to_hours: Decimal | None = None
    up_to_amount: Decimal | None = None
    given_by: str = ""

    @property
    def is_allowed(self) -> bool:
        """Whether anyone set a limit at all."""
        return self.up_to_hours is not None or self.up_to_amount is not None

    @property
    def left_man_min(self) -> float | None:
        """Man-minutes that are left, below 0 where overspent; None without such a limit."""
        if self.up_to_hours is None:
            return None
        return float(self.up_to_hours) * MINUTES_PER_HOUR - self.used_man_min

    @property
    def share(self) -> float | None:
        """How full the fullest limit is: 1 = used up. None where no limit is set."""
        return fullest(self, self.used_man_min, self.money)


def fullest(limit: Limited, used_man_min: float, money: Money) -> float | None:
    """Return the greatest share of the limits, of hours and of money, that is used.

    A 0 beside another limit, as older standing authorities have it, is no limit.
    """
    shares = []
    if limit.up_to_hours:
        shares.append(in_hours(used_man_min) / limit.up_to_hours)
    if limit.up_to_amount:
        shares.append(money.amount / limit.up_to_amount)
    return float(max(shares)) if shares else None


def spending_of(
    fault: Fault, *, at: datetime, besides: Job | None = None, in_money: bool = False
) -> Spending:
    """Return what was spent on a fault up to a moment, and its limit.

    Args:
        besides: a visit to leave out, because its own minutes are counted as they run.
        in_money: add money up also where no limit names any.
    """
    day = today_at(fault.property, at)
    limit = limit_of(
        day,
        fault.authorities.order_by("pk"),
        fault.property.authorities.on(day).order_by("-from_on", "-pk"),
    )
    visits, members = visits_made([fault.pk], at=at)
    kept = [job for job in visits if besides is None or job.pk != besides.pk]
    money, currency = Money(), ""
    if in_money or (limit is not None and limit.up_to_amount is not None):
        place, lines = fault.property, booked_lines([fault.pk])
        # Read where an hour without a line, or a sum, asks for it.
        book = cache(lambda: PriceBook.of([place]))
        money = money_of(kept, lines, members, lambda one: book().at(place, one), at=at)
        if money.amount or (limit is not None and limit.up_to_amount is not None):
            currency = book().at(place, day).currency
    return Spending(
        used_man_min=sum(spent_man_min(job, members, at=at) for job in kept),
        money=money,
        currency=currency,
        up_to_hours=(limit.up_to_hours or None) if limit else None,
        up_to_amount=(limit.up_to_amount or None) if limit else None,
        given_by=str(getattr(limit, "given_by", "")) if limit else "",
    )


def in_hours(man_min: float) -> Decimal:
    """Return man-minutes as man-hours, exact to far below a second."""
    return round(Decimal(man_min), 6) / MINUTES_PER_HOUR


def hours_words(hours: Decimal) -> str:
    """Return man-hours with at most two decimals: 6.5, 8, 0.02."""
    return f"{hours:.2f}".rstrip("0").rstrip(".")


def people_on(job: Job, day: date) -> int:
    """Return how many people a visit takes: the crew of the day, or one."""
    return _people(job, day, visits_made([], jobs=[job])[1])


def limit_of(
    day: date, yeses: Iterable[Authority], standing: Iterable[StandingAuthority]
) -> Authority | StandingAuthority | None:
    """Return the limit of a day: the newest yes on the fault, else the newest standing one.

    Those that name neither hours nor money are none, and work that a standing one covered counts
    against that one. `standing` are those of that day, newest first; `yeses` are the fault's.
    """
    asked = [one for one in yeses if one.standing_id is None and one.given_on <= day]
    own = [one for one in asked if names_a_limit(one)]
    if own:
        return max(own, key=lambda one: (one.given_on, one.pk))
    return next((one for one in standing if names_a_limit(one)), None)


def names_a_limit(one: Authority | StandingAuthority) -> bool:
    """Return whether it names hours or money."""
    return one.up_to_hours is not None or one.up_to_amount is not None


def visits_made(
    faults: Collection[int], *, jobs: Iterable[Job] = (), at: datetime | None = None
) -> tuple[list[Job], Members]:
    """Return the visits of these faults that began, and the days of each crew's members.

    Args:
        jobs: jobs whose crews are read too, in the same query.
        at: leave out visits that began later.
    """
    planned = [job.pk for job in jobs if job.crew_id is not None]
    rows = Job.objects.filter(Q(fault__in=faults, started_at__isnull=False) | Q(pk__in=planned))
    rows_of_members: QuerySet[Any] = rows.annotate(
        member=F("crew__members__pk"),
        member_from=F("crew__members__from_on"),
        member_to=F("crew__members__to_on"),
    )
    visits: dict[int, Job] = {}
    members: dict[int, dict[int, Days]] = {}
    for row in rows_of_members.order_by("pk", "member"):
        if row.started_at is not None and row.state != JobState.WITHDRAWN:
            visits[row.pk] = row
        if row.member is not None and row.crew_id is not None:
            days = row.member_from, row.member_to
            members.setdefault(row.crew_id, {})[row.member] = days
    made = [job for job in visits.values() if at is None or (job.started_at or at) <= at]
    return made, {crew: list(days.values()) for crew, days in members.items()}


def expected_man_min(job: Job, day: date, members: Members) -> float:
    """Return what a visit of this day is expected to take, each person's minutes."""
    return float(job.expected_minutes * _people(job, day, members))


def spent_man_min(job: Job, members: Members, *, at: datetime | None = None) -> float:
    """Return what a visit took; under way, what it ran up to a moment.

    Without a moment, a visit under way counts with what it is expected to take: lists and the
    gate ask so, because what it still needs is no longer there for another one.
    """
    assert job.started_at is not None
    if job.actual_minutes is not None:
        minutes = float(job.actual_minutes)
    elif at is None:
        minutes = float(job.expected_minutes)
    else:
        minutes = (at - job.started_at).total_seconds() / MINUTES_PER_HOUR
    return minutes * _people(job, job.started_at.date(), members)


def _people(job: Job, day: date, members: Members) -> int:
    if job.crew_id is None:
        return 1
    there = members.get(job.crew_id, ())
    return sum(start <= day and (end is None or day < end) for start, end in there) or 1


def booked_lines(faults: Collection[int]) -> list[JobLine]:
    """Return the standing lines of all jobs of these faults, with their jobs."""
    given = BatchLine.objects.filter(line=OuterRef("pk"), is_taken_back=False)
    rows = JobLine.objects.standing().filter(job__fault__in=faults)
    rows = rows.annotate(is_given=Exists(given))
    return list(rows.select_related("job").order_by("pk"))


def money_of(
    visits: Iterable[Job],
    lines: Iterable[JobLine],
    members: Members,
    prices_on: Callable[[date], Prices],
    *,
    at: datetime | None = None,
) -> Money:
    """Return the money of lines, and of what visits took beyond the hours of their lines.

    Args:
        lines: of any basis; warranty and contract work counts no money but covers its hours.
    """
    amount, not_priced, billed = Decimal(0), 0, Decimal(0)
    booked: dict[int, Decimal] = {}
    for line in lines:
        if line.kind in HOURLY and line.unit.strip().casefold() in HOUR_UNITS:
            booked[line.job_id] = booked.get(line.job_id, Decimal(0)) + line.quantity
        if line.basis == LineBasis.BILLABLE:
            amount += line.amount or Decimal(0)
            not_priced += line.amount is None
            billed += (line.amount or Decimal(0)) if getattr(line, "is_given", False) else 0
    for job in visits:
        assert job.started_at is not None
        spent = in_hours(spent_man_min(job, members, at=at))
        rest = spent - booked.get(job.pk, Decimal(0))
        if rest > LEAST_H:
            rate = prices_on(job.started_at.date()).labour_rate(digs=job.digs())
            amount += amount_of(rest, rate) if rate is not None else Decimal(0)
            not_priced += rate is None
    return Money(amount, not_priced, billed)
