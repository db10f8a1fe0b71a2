"""Reads what was quoted, spent and billed of the visits of a period, for the engine."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

from faults.billing.engines.earning import By, Piece, Row, rows_of, totals_of
from faults.billing.queries import accepted_quotes, lines_with_batches, visits_between
from faults.cases.services.man_hours import (
    Members,
    day_of,
    hours_booked,
    in_hours,
    open_of,
    spent_man_min,
    visits_made,
)
from faults.models import NOT_CHARGED, Cause, Fault, Job, JobKind, JobLine, QuotePurpose
from faults.prices.engines.pricing import amount_of
from faults.prices.services.holding import PriceBook
from sites.models import User

CAUSE_WORDS = dict(Cause.choices)
KIND_WORDS = dict(JobKind.choices)
# Which visits a quote is for.
KIND_OF = {QuotePurpose.SEARCH.value: JobKind.LOCATE, QuotePurpose.DIG.value: JobKind.DIG}


@dataclass(frozen=True)
class Earned:
    """The rows of a period, their sums by currency, and whether there were too many visits."""

    rows: Sequence[Row]
    totals: Sequence[Row]
    is_cut_off: bool


def earned(user: User, by: By, *, since: date, until: date) -> Earned:
    """Return what the visits of a period earned, as far as the user may see prices.

    Args:
        until: the last day.
    """
    jobs, is_cut_off = visits_between(user, since, until)
    keys = [job.pk for job in jobs]
    made, members = visits_made([], also=keys)
    began = {job.pk: job for job in made}
    lines: dict[int, list[JobLine]] = {}
    for line in lines_with_batches(keys):
        lines.setdefault(line.job_id, []).append(line)
    book = PriceBook.of([job.property for job in jobs])
    pieces = [
        piece
        for job in jobs
        for piece in _of_visit(job, began.get(job.pk), lines.get(job.pk, []), members, book, by)
    ]
    faults = {job.fault_id: job.fault for job in jobs if job.fault is not None}
    pieces += _of_quotes(list(faults.values()), by)
    rows = rows_of(pieces)
    return Earned(rows, totals_of(rows), is_cut_off)


def _of_visit(
    job: Job, began: Job | None, lines: list[JobLine], members: Members, book: PriceBook, by: By
) -> list[Piece]:
    """A piece for each currency of its lines, and one for its hours."""
    group = _group(job.fault, by, job=job)
    pieces = [_of_line(line, group) for line in lines]
    if began is None or began.started_at is None:
        return pieces
    prices = book.at(job.property, day_of(began))
    booked = hours_booked(lines)
    spent, not_priced = Decimal(0), 0
    for charge, hours in open_of(began, members, booked).items():
        rate = prices.rate_for(charge, digs=began.digs())
        spent += amount_of(hours, rate) if rate is not None else Decimal(0)
        not_priced += rate is None
    free = [line for line in lines if line.basis in NOT_CHARGED]
    given = [line for line in lines if line.basis not in NOT_CHARGED and _is_given(line)]
    return [
        *pieces,
        Piece(
            group,
            prices.currency,
            spent=spent,
            spent_h=in_hours(spent_man_min(began, members)),
            billed_h=_hours(given),
            free_h=_hours(free),
            not_priced=not_priced,
        ),
    ]


def _of_line(line: JobLine, group: str) -> Piece:
    """The money of a line; its hours are those of the visit."""
    charged = line.charged or Decimal(0)
    return Piece(
        group,
        getattr(line, "currency", ""),
        spent=charged,
        billed=charged if _is_given(line) else Decimal(0),
        not_priced=int(line.charged is None),
    )


def _is_given(line: JobLine) -> bool:
    return bool(getattr(line, "is_given", False))


def _hours(lines: list[JobLine]) -> Decimal:
    return sum(
        (hours for of_job in hours_booked(lines).values() for hours in of_job.values()), Decimal(0)
    )


def _of_quotes(faults: list[Fault], by: By) -> list[Piece]:
    of = {fault.pk: fault for fault in faults}
    return [
        Piece(
            _group(of[quote.fault_id], by, kind=KIND_OF[quote.purpose]),
            quote.currency,
            quoted=net,
        )
        for quote, net in accepted_quotes(list(of))
    ]


def _group(
    fault: Fault | None, by: By, *, job: Job | None = None, kind: JobKind | None = None
) -> str:
    """Return what names the group of a visit, or of a quote of a fault."""
    place = job.property if job is not None else fault.property  # type: ignore[union-attr]
    of: dict[By, Callable[[], str]] = {
        By.FAULT: lambda: f"{fault}, {place}" if fault else _("no fault: %s") % place,
        By.CLIENT: lambda: str(place.client),
        By.CAUSE: lambda: cause_words(fault),
        By.KIND: lambda: str(KIND_WORDS[kind or JobKind(job.kind if job else "")]),
    }
    return of[by]()


def cause_words(fault: Fault | None) -> str:
    """Return the cause of a fault's first break; else the side on which the trouble lies."""
    if fault is None:
        return _("no fault")
    first = next(iter(fault.breaks.all()), None)
    if first is not None:
        return str(CAUSE_WORDS[Cause(first.cause)])
    if fault.is_outside_the_wire():
        return str(fault.get_cause_side_display())
    return str(Cause.NOT_KNOWN.label)
