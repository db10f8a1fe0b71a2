"""A batch as files for any books: a list, or one file that a program reads."""

from collections.abc import Iterator
from typing import Any

from django.utils.translation import gettext as _

from faults.billing.queries import entries_of
from faults.billing.services.sums import Sums, sums_of
from faults.models import BatchLine, BookBatch
from sites.cells.services.shown import Cell, number
from sites.cells.services.writing import Written

NAMES = (
    "line", "on", "client", "property", "fault", "stations", "job", "order_number", "approver",
    "kind", "basis", "what", "quantity", "unit", "unit_price", "charged", "currency",
)  # fmt: skip
NUMBERS = frozenset({"quantity", "unit_price", "charged"})


def sums_of_entries(entries: list[BatchLine]) -> Sums:
    """Return what a batch charges, by currency."""
    return sums_of((entry.currency, entry.charged) for entry in entries)


def batch_list(batch: BookBatch) -> Written:
    """Return a batch as a list: a line for each entry, and whether the batch stands."""
    headings = [
        _("Line"), _("Day"), _("Client"), _("Property"), _("Fault"), _("Stations"), _("Job"),
        _("The client's order number"), _("Who said yes"), _("Kind"), _("Who pays"), _("What"),
        _("Quantity"), _("Unit"), _("Price per unit"), _("Charged"), _("Currency"), _("Batch"),
        _("Given to the books on"), _("Taken back on"),
    ]  # fmt: skip
    return Written(str(batch), headings, lambda: _rows(batch))


def _rows(batch: BookBatch) -> Iterator[list[Cell]]:
    taken_back: Cell = batch.taken_back_on or ""
    for entry in entries_of(batch):
        yield [*(_cell(entry, name) for name in NAMES), batch.pk, batch.given_on, taken_back]


def _cell(entry: BatchLine, name: str) -> Cell:
    if name == "line":
        return entry.line_id
    if name in ("kind", "basis"):
        return str(getattr(entry, f"get_{name}_display")())
    value = getattr(entry, name)
    if name in NUMBERS:
        return "" if value is None else number(value)
    found: Cell = value
    return found


def batch_plain(batch: BookBatch) -> dict[str, Any]:
    """Return a batch for a program: days as 2026-03-14, money and quantities as exact text."""
    entries = entries_of(batch)
    return {
        "batch": batch.pk,
        "given_to_the_books_on": batch.given_on.isoformat(),
        "taken_back_on": batch.taken_back_on.isoformat() if batch.taken_back_on else None,
        "charged": [
            {"currency": currency or None, "amount": f"{amount:f}"}
            for currency, amount in sums_of_entries(entries).money.items()
        ],
        "lines": [_plain(entry) for entry in entries],
    }


def _plain(entry: BatchLine) -> dict[str, Any]:
    found: dict[str, Any] = {"line": entry.line_id}
    for name in NAMES[1:]:
        value = getattr(entry, name)
        if name == "on":
            value = value.isoformat()
        elif name in NUMBERS:
            value = None if value is None else f"{value:f}"
        found[name] = value
    return found
