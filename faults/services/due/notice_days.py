"""The days of a notice, as far as its follow-ups need them: the ticket's own printed days."""

from dataclasses import dataclass
from datetime import date

from faults.models import Notice


@dataclass(frozen=True)
class NoticeDays:
    """From when digging may start and until when the notice holds; None where not known."""

    clear_on: date | None
    expiry_on: date | None


def days_of(notice: Notice) -> NoticeDays:
    """Return the days that are printed on the ticket."""
    return NoticeDays(notice.printed_start_on, notice.printed_expiry_on)
