"""Lines of a job for any book-keeping: time, parts and standing by, and who pays."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

from faults.models import (
    CHARGE_CHOICES,
    BatchLine,
    BookBatch,
    Job,
    JobLine,
    JobState,
    LineBasis,
    LineKind,
)
from faults.prices.engines.pricing import LABOUR, WHOLE, Charge
from faults.prices.services.holding import prices_at
from faults.work.services.told import LineFacts, UnableToBook
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import refuse_ahead, save_because, was_wrong
from sites.kernel.services.verbs import verb
from sites.models import Property, User


def rate_on(
    place: Property, kind: str, day: date, *, digs: bool = False, charge: str = ""
) -> Decimal | None:
    """Return the price for an hour of work or of standing by on a day, if known.

    Args:
        digs: the work is on a visit that opens ground.
        charge: what was done; a trip and a minimum have a price for the whole.
    """
    prices = prices_at(place, day)
    if charge and Charge(charge) in WHOLE:
        whole = prices.of(Charge(charge))
        return whole.price if whole else None
    if charge and Charge(charge) in LABOUR:
        return prices.rate_for(Charge(charge), digs=digs)
    if LineKind(kind) is LineKind.STANDBY:
        return prices.per_hour(Charge.STANDBY)
    if LineKind(kind) is not LineKind.TIME:
        return None
    return prices.labour_rate(digs=digs)


def totals_of(lines: Iterable[JobLine]) -> dict[str, Decimal]:
    """Return the money by who pays, each line rounded once; lines without a price add nothing."""
    totals: dict[str, Decimal] = {}
    for line in lines:
        if line.amount is not None and line.removed_on is None:
            totals[line.basis] = totals.get(line.basis, Decimal(0)) + line.amount
    return {basis: totals[basis] for basis in LineBasis.values if basis in totals}


@verb(
    name="add a line to a job",
    action=Action.WORK_JOBS,
    guard="the job was not withdrawn; what it was; a quantity above 0 and its unit; no price below "
    "0; a day that has come",
    undo="strike out a line of a job",
)
def add_line(*, job: Job, facts: LineFacts, by: User, today: date) -> JobLine:
    """Keep a line. A finished job takes lines too: bills for parts come late."""
    _refuse_withdrawn(job)
    _refuse_line(facts, today)
    line = JobLine(job=job, entered_by=by)
    _set(line, facts, _price(job, facts))
    line.save()
    return line


@verb(
    name="correct a line of a job",
    action=Action.WORK_JOBS,
    guard="it stands and is in no batch of the books; what was wrong, in words; as adding one",
    undo="correct it again, with the values that its history shows",
)
def correct_line(*, line: JobLine, facts: LineFacts, why: str, today: date) -> None:
    """Correct what a line says."""
    reason = was_wrong(why)
    _refuse_withdrawn(line.job)
    if line.removed_on is not None:
        raise UnableToBook(_("This line is struck out. Put it back first."))
    _refuse_given(line)
    _refuse_line(facts, today)
    same_rate = (line.kind, line.on, line.charge) == (facts.kind, facts.on, facts.charge)
    price = line.unit_price if facts.price_by_rate and same_rate else _price(line.job, facts)
    _set(line, facts, price)
    save_because(line, reason)


@verb(
    name="strike out a line of a job",
    action=Action.WORK_JOBS,
    guard="it stands and is in no batch of the books; what was wrong, in words",
    undo="put a struck line back",
)
def remove_line(*, line: JobLine, why: str, today: date) -> None:
    """Strike a line out: it counts nowhere, and stays readable."""
    reason = was_wrong(why)
    if line.removed_on is not None:
        raise UnableToBook(_("This line is struck out already."))
    _refuse_given(line)
    line.removed_on = today
    save_because(line, reason)


@verb(
    name="put a struck line back",
    action=Action.WORK_JOBS,
    guard="it is struck out",
    undo="strike out a line of a job",
)
def put_line_back(*, line: JobLine) -> None:
    """Put a struck line back: it counts again."""
    if line.removed_on is None:
        raise UnableToBook(_("This line stands already."))
    line.removed_on = None
    line.save()


def _refuse_withdrawn(job: Job) -> None:
    if job.state == JobState.WITHDRAWN:
        raise UnableToBook(_("This job was withdrawn. Bring it back first."))


def batch_of(line: JobLine) -> BookBatch | None:
    """Return the batch that stands in which a line was given to the books, or None."""
    row = BatchLine.objects.filter(line=line, is_taken_back=False).select_related("batch").first()
    return row.batch if row else None


def _refuse_given(line: JobLine) -> None:
    """The books have it as it is. Who calls has locked the line, as who gives it has."""
    if (batch := batch_of(line)) is not None:
        raise UnableToBook(
            _(
                "This line was given to the books on %(day)s: it is in %(batch)s. Take that batch "
                "back first, or add a new line for what is to be put right."
            )
            % {"day": batch.given_on.isoformat(), "batch": batch}
        )


def _refuse_line(facts: LineFacts, today: date) -> None:
    if not facts.what.strip():
        raise UnableToBook(_("What was it? A few words for the bill."), field="what")
    if facts.quantity <= 0:
        raise UnableToBook(_("How much was it? A quantity above 0."), field="quantity")
    if not facts.unit.strip():
        raise UnableToBook(_("In which unit? Such as: h, each, ft."), field="unit")
    if facts.charge and facts.charge not in dict(CHARGE_CHOICES):
        raise UnableToBook(_("What is charged? Choose one of the list."), field="charge")
    if facts.unit_price is not None and facts.unit_price < 0:
        raise UnableToBook(_("A price is 0 or more."), field="unit_price")
    refuse_ahead(facts.on, today, field="on")


def _price(job: Job, facts: LineFacts) -> Decimal | None:
    if facts.price_by_rate:
        return rate_on(job.property, facts.kind, facts.on, digs=job.digs(), charge=facts.charge)
    return facts.unit_price


def _set(line: JobLine, facts: LineFacts, price: Decimal | None) -> None:
    line.kind, line.basis, line.on = facts.kind, facts.basis, facts.on
    line.what, line.unit = " ".join(facts.what.split()), facts.unit.strip()
    line.quantity, line.unit_price, line.charge = facts.quantity, price, facts.charge
