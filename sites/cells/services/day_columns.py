"""Columns that hold a day, or a window of days where only a month or a year is known."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.utils.translation import gettext as _

from sites.cells.engines.days import (
    DMY,
    MDY,
    Unsettled,
    Window,
    order_shown,
    read_window,
    window_text,
)
from sites.cells.engines.raw import Cell
from sites.cells.services.columns import Column, Manner, plain_text
from sites.cells.services.refusals import Unreadable
from sites.cells.services.shown import Cell as Shown
from sites.cells.services.shown import held_by

# The day is another one on the far side of the globe: one day ahead is no mistake.
GRACE = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Day(Column):
    """One day. `may_be_ahead` allows days to come."""

    may_be_ahead: bool = False

    def read(self, cell: Cell, manner: Manner, unit: str) -> date:
        """Return the day."""
        first, last = _window(cell, manner)
        if first != last:
            raise Unreadable(
                _("A whole day is needed here, not only a month or a year: write 2025-03-04.")
            )
        if not self.may_be_ahead:
            refuse_ahead(first, manner.today)
        return first

    def show(self, value: Any, unit: str) -> str:
        """The day in one unmistakable way."""
        return value.isoformat() if value else ""


@dataclass(frozen=True, slots=True)
class Span(Column):
    """A day, a month or a year, as the window of days that it can mean.

    `ends` names the window in the record, where "laid" is `laid_earliest` and `laid_latest`.
    """

    ends: str = ""

    def stored(self, records: Sequence[object]) -> Any:
        """Return the window; None where no day is known."""
        if not self.ends:
            return super(Span, self).stored(records)
        window = tuple(held_by(records, f"{self.ends}_{end}") for end in ("earliest", "latest"))
        return window if window[0] else None

    def cell(self, value: object) -> Shown:
        """A day, a month, a year, or both ends."""
        return window_text(value) if isinstance(value, tuple) else super(Span, self).cell(value)

    def read(self, cell: Cell, manner: Manner, unit: str) -> Any:
        """Return the window, cut off at the latest day that can be."""
        first, last = _window(cell, manner)
        refuse_ahead(first, manner.today)
        return first, (last if first == last else min(last, max(first, manner.today)))

    def show(self, value: Any, unit: str) -> str:
        """One day, or both ends."""
        if not value or value[0] is None:
            return ""
        first, last = value
        return first.isoformat() if first == last else f"{first.isoformat()} – {last.isoformat()}"


def refuse_ahead(day: date, today: date) -> None:
    """Refuse a day that has not come yet."""
    if day > today + GRACE:
        raise Unreadable(
            _("This day has not come yet (today is %(today)s). Correct the day or its year.")
            % {"today": today.isoformat()}
        )


def _window(cell: Cell, manner: Manner) -> Window:
    if isinstance(cell, datetime):
        return cell.date(), cell.date()
    if isinstance(cell, date):
        return cell, cell
    text = plain_text(cell)
    try:
        return _read(text, manner)
    except ValueError:
        raise Unreadable(_why(text, manner)) from None


def _read(text: str, manner: Manner) -> Window:
    try:
        return read_window(text, order=manner.order, today=manner.today)
    except Unsettled:
        # Read one way for the time being: nothing is written before the question is answered.
        order = MDY if order_shown(text) == MDY else DMY
        return read_window(text, order=order, today=manner.today)


def _why(text: str, manner: Manner) -> str:
    shown = order_shown(text)
    if shown and manner.order and shown not in ("?", manner.order):
        return _(
            "This day is written in the other order than the rest of the file. Write 2025-03-04."
        )
    if text.isdigit() and len(text) == 5:
        return _("This is a spreadsheet's day number. Format the column as a date.")
    return _("This is no day that can be read. Write it as 2025-03-04.")
