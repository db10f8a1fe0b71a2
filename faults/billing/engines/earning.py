"""What was quoted, spent and billed, group by group, and the hours that nobody pays.

Money of two currencies is never added up: each group has a row for each currency.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum


class By(StrEnum):
    """What the figures are grouped by."""

    FAULT = "fault"
    CLIENT = "client"
    CAUSE = "cause"
    KIND = "kind"


@dataclass(frozen=True)
class Piece:
    """What one visit, or one accepted quote, adds to one group.

    Args:
        group: what names the group; `currency` empty = not known.
        quoted: money that the client said yes to; None = this is no quote.
        spent: money of its lines that are charged, and of hours without a line.
        billed: the part of it that is in batches that stand.
        spent_h, billed_h, free_h: man-hours: all; in lines that were given and are charged; in
            lines that the warranty or the contract pays.
        not_priced: lines and hours whose price nobody knows.
    """

    group: str
    currency: str
    quoted: Decimal | None = None
    spent: Decimal = Decimal(0)
    billed: Decimal = Decimal(0)
    spent_h: Decimal = Decimal(0)
    billed_h: Decimal = Decimal(0)
    free_h: Decimal = Decimal(0)
    not_priced: int = 0

    @property
    def lost_h(self) -> Decimal:
        """Man-hours that were spent, and neither billed nor of warranty or contract."""
        return max(self.spent_h - self.billed_h - self.free_h, Decimal(0))


@dataclass(frozen=True)
class Row:
    """One group in one currency: sums of its pieces. `quoted` None = nothing was agreed to."""

    group: str
    currency: str
    quoted: Decimal | None = None
    spent: Decimal = Decimal(0)
    billed: Decimal = Decimal(0)
    spent_h: Decimal = Decimal(0)
    billed_h: Decimal = Decimal(0)
    free_h: Decimal = Decimal(0)
    lost_h: Decimal = Decimal(0)
    not_priced: int = 0

    @property
    def unbilled(self) -> Decimal:
        """Money that was spent and not given to the books yet."""
        return self.spent - self.billed


SUMMED = ("spent", "billed", "spent_h", "billed_h", "free_h", "lost_h", "not_priced")


def rows_of(pieces: Iterable[Piece]) -> list[Row]:
    """Return a row for each group and currency: the most lost hours first, then by name.

    Lost hours are those of each visit: what one visit bills too much pays no other.
    """
    found: dict[tuple[str, str], Row] = {}
    for piece in pieces:
        key = (piece.group, piece.currency)
        row = found.get(key) or Row(*key)
        sums = {name: getattr(row, name) + getattr(piece, name) for name in SUMMED}
        if piece.quoted is not None:
            sums["quoted"] = (row.quoted or Decimal(0)) + piece.quoted
        found[key] = replace(row, **sums)
    return sorted(found.values(), key=lambda row: (-row.lost_h, row.group, row.currency))


def totals_of(rows: Sequence[Row]) -> list[Row]:
    """Return the sum over all groups, one row for each currency by name, the unknown one last."""
    alike = [replace(row, group="") for row in rows]
    sums: dict[str, Row] = {}
    for row in alike:
        before = sums.get(row.currency, Row("", row.currency))
        both = {name: getattr(before, name) + getattr(row, name) for name in SUMMED}
        if row.quoted is not None:
            both["quoted"] = (before.quoted or Decimal(0)) + row.quoted
        sums[row.currency] = replace(before, **both)
    return [sums[one] for one in sorted(sums, key=lambda currency: (not currency, currency))]
