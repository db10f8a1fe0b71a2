"""Give lines to the books in a batch, and take a batch back."""

from collections.abc import Sequence
from datetime import date

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from faults.billing.queries import OVER, as_billed, given_already, stations_named
from faults.billing.services.told import UnableToBill
from faults.models import BatchLine, BookBatch, Fault, Job, JobLine
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import refuse_ahead, save_because
from sites.kernel.services.verbs import verb
from sites.models import User

MOST_LINES = 400


@verb(
    name="give lines to the books",
    action=Action.GIVE_TO_BOOKS,
    guard="lines of finished work that are in no batch that stands; what is charged has a price; "
    "a day that has come, not before a line's own",
    undo="take a batch back from the books",
)
def give_to_books(*, lines: Sequence[JobLine], given_on: date, by: User, today: date) -> BookBatch:
    """Put lines into one batch. The lines are locked; the database holds each to one batch."""
    if not lines:
        raise UnableToBill(_("Nothing is ticked. Go back to the list, and tick the lines to give."))
    if len(lines) > MOST_LINES:
        raise UnableToBill(
            _("A batch holds at most %s lines. Go back, and give them in parts.") % MOST_LINES
        )
    refuse_ahead(given_on, today, field="given_on")
    rows = list(as_billed(JobLine.objects.filter(pk__in=[line.pk for line in lines])))
    given = given_already(rows)
    for row in sorted(rows, key=lambda row: (row.on, row.pk)):
        if why := _why_not(row, given.get(row.pk), given_on):
            raise UnableToBill(why)
    batch = BookBatch.objects.create(given_on=given_on, given_by=by)
    try:
        with transaction.atomic():
            for row in rows:
                entry = entry_of(row)
                entry.batch = batch
                entry.save()
    except IntegrityError as twice:
        raise UnableToBill(
            _("One of these lines was given to the books meanwhile. Go back to the list.")
        ) from twice
    return batch


def _why_not(line: JobLine, batch: BookBatch | None, given_on: date) -> str:
    """Return in words why a line cannot be given; empty where it can."""
    words = {"line": line.pk, "what": line.what}
    if batch is not None:
        return _(
            "Line %(line)s, %(what)s, was given to the books on %(day)s: it is in %(batch)s. Go "
            "back, and leave it unticked."
        ) % {**words, "day": batch.given_on.isoformat(), "batch": batch}
    if line.removed_on is not None:
        return _("Line %(line)s, %(what)s, is struck out. Go back to the list.") % words
    if line.job.state not in OVER:
        return _("Line %(line)s, %(what)s: its visit is not finished. Finish it first.") % words
    if line.charged is None:
        return (
            _(
                "Line %(line)s, %(what)s, has no price. Correct it: enter the price, or that the "
                "warranty or the contract pays."
            )
            % words
        )
    if line.on > given_on:
        return _("Line %(line)s, %(what)s, is of %(on)s: after the day of the batch.") % {
            **words,
            "on": line.on.isoformat(),
        }
    return ""


def entry_of(line: JobLine) -> BatchLine:
    """Return what a batch would keep of a line that was read by `as_billed`; nothing is written."""
    job, place = line.job, line.job.property
    same = ("on", "kind", "basis", "what", "quantity", "unit", "unit_price", "charged")
    return BatchLine(
        line=line,
        client=place.client.name,
        property=place.code,
        fault=str(job.fault or ""),
        stations=stations_named(line),
        job=job.ref,
        order_number=getattr(line, "order", ""),
        approver=getattr(line, "approver", ""),
        currency=getattr(line, "currency", ""),
        **{name: getattr(line, name) for name in same},
    )


@verb(
    name="take a batch back from the books",
    action=Action.GIVE_TO_BOOKS,
    guard="it stands; why, in words",
    undo="give lines to the books",
)
def take_back_batch(*, batch: BookBatch, why: str, today: date) -> None:
    """Let a batch count no more: its lines are unbilled again, and it stays in the list."""
    words = why.strip()
    if batch.taken_back_on is not None:
        raise UnableToBill(_("It was taken back on %s already.") % batch.taken_back_on.isoformat())
    if not words:
        raise UnableToBill(
            _("Say why it is taken back: the books have to be put right too."), field="why"
        )
    batch.taken_back_on, batch.why_taken_back = today, words[:200]
    save_because(batch, words)
    for entry in batch.entries.order_by("pk"):
        entry.is_taken_back = True
        entry.save()


@verb(
    name="note the client's order number",
    action=Action.WORK_JOBS,
    guard="none",
    undo="note it again: its history shows what was there",
)
def note_order_number(*, of: Fault | Job, order_number: str) -> None:
    """Keep by which number the client finds the order: of a fault, or of one visit."""
    of.order_number = " ".join(order_number.split())
    of.save()
