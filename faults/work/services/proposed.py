"""Lines that a finished visit asks for: by what was done, less what lines name already."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from django.utils.translation import gettext as _

from faults.cases.services.man_hours import (
    day_of,
    hours_booked,
    in_hours,
    open_of,
    people_on,
    spent_man_min,
    visits_made,
)
from faults.models import NOT_CHARGED, Job, JobLine, JobState, LineKind
from faults.prices.engines.pricing import CENT, Charge, Prices, amount_of
from faults.prices.services.holding import prices_at

HUNDREDTH = Decimal("0.01")


@dataclass(frozen=True)
class Proposed:
    """A line that is not there yet; without a price where no list names one."""

    charge: Charge
    kind: LineKind
    quantity: Decimal
    unit: str
    price: Decimal | None


@dataclass(frozen=True)
class Visit:
    """Man-hours of a visit that began, and the lines that it still asks for."""

    man_hours: Decimal
    proposed: Sequence[Proposed]
    # Where fewer or more people are entered than the crew has.
    crew_words: str = ""


def visit_day(job: Job) -> date | None:
    """Return the day of a visit that began, at the property."""
    return day_of(job) if job.started_at is not None else None


def visit_of(job: Job, lines: Collection[JobLine]) -> Visit | None:
    """Return what a visit took and which lines it asks for; None where it did not begin.

    Args:
        lines: those of the job; struck ones count nowhere.
    """
    if (day := visit_day(job)) is None:
        return None
    made, members = visits_made([], also=[job.pk])
    if not made:
        return None
    (one,) = made
    hours = in_hours(spent_man_min(one, members))
    if job.state != JobState.DONE:
        return Visit(hours, [])
    standing = [line for line in lines if line.removed_on is None]
    prices = prices_at(job.property, day)
    rest = open_of(one, members, hours_booked(standing))
    proposed = [_hourly(charge, left, prices, job) for charge, left in rest.items()]
    proposed += _whole(standing, proposed, prices)
    return Visit(hours, proposed, _crew_words(job, day))


def _hourly(charge: Charge, hours: Decimal, prices: Prices, job: Job) -> Proposed:
    kind = LineKind.STANDBY if charge is Charge.STANDBY else LineKind.TIME
    rounded = hours.quantize(HUNDREDTH, ROUND_HALF_UP)
    return Proposed(charge, kind, rounded, "h", prices.rate_for(charge, digs=job.digs()))


def _whole(
    lines: Collection[JobLine], proposed: Collection[Proposed], prices: Prices
) -> list[Proposed]:
    """A trip, and what a visit lacks to its minimum; not where the warranty or contract pays."""
    charged = {line.charge for line in lines}
    if any(line.basis in NOT_CHARGED for line in lines):
        return []
    found = []
    if (trip := prices.of(Charge.TRIP)) is not None and Charge.TRIP.value not in charged:
        found.append(Proposed(Charge.TRIP, LineKind.TIME, Decimal(1), "each", trip.price))
    least = prices.of(Charge.MINIMUM)
    if least is not None and Charge.MINIMUM.value not in charged:
        labour = sum(
            (line.amount or Decimal(0) for line in lines if line.kind != LineKind.PARTS), Decimal(0)
        )
        labour += sum(amount_of(one.quantity, one.price or Decimal(0)) for one in proposed)
        if (short := (least.price - labour).quantize(CENT)) > 0:
            found.append(Proposed(Charge.MINIMUM, LineKind.TIME, Decimal(1), "each", short))
    return found


def _crew_words(job: Job, day: date) -> str:
    there = {row.user_id or row.name for row in job.people.filter(removed_on=None)}
    crew = people_on(job, day)
    if not there or job.crew_id is None or len(there) == crew:
        return ""
    return _("%(there)s entered; the crew of that day has %(crew)s.") % {
        "there": len(there),
        "crew": crew,
    }
