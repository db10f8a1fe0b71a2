"""What was spent on a fault against the newest limit that holds: one rule for office and phone.

Man-hours are counted over all visits of the fault: a visit of two people takes two. Money is that
of all billable lines, given to the books or not, and of the hours for which no line stands yet, at
the price of their day. The newest yes on the fault sets the limit, else the newest standing
authority of the property; a newer, lower one replaces an older.
"""

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from functools import cache
from typing import Protocol

from django.db.models import Exists, OuterRef

from faults.cases.services.man_hours import (
    MINUTES_PER_HOUR,
    Members,
    day_of,
    hours_booked,
    in_hours,
    open_of,
    spent_man_min,
    visits_made,
)
from faults.models import Authority, BatchLine, Fault, Job, JobLine, LineBasis
from faults.prices.engines.pricing import Prices, amount_of
from faults.prices.services.holding import PriceBook
from sites.models import StandingAuthority, today_at

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


def hours_words(hours: Decimal) -> str:
    """Return man-hours with at most two decimals: 6.5, 8, 0.02."""
    return f"{hours:.2f}".rstrip("0").rstrip(".")


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
    lines = list(lines)
    booked = hours_booked(lines)
    for line in lines:
        if line.basis == LineBasis.BILLABLE:
            amount += line.amount or Decimal(0)
            not_priced += line.amount is None
            billed += (line.amount or Decimal(0)) if getattr(line, "is_given", False) else 0
    for job in visits:
        assert job.started_at is not None
        for charge, rest in open_of(job, members, booked, at=at).items():
            rate = prices_on(day_of(job)).rate_for(charge, digs=job.digs())
            amount += amount_of(rest, rate) if rate is not None else Decimal(0)
            not_priced += rate is None
    return Money(amount, not_priced, billed)
