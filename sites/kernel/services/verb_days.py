"""What verbs share about days and about saying why: guards, and the reason kept in history."""

from datetime import date
from typing import Any

from django.db.models import Model
from django.utils.translation import gettext as _

from sites.kernel.services.verbs import UnableToAct

# As far as the history's own column for a reason goes.
LONGEST_REASON = 100


class UnableToUseDay(UnableToAct):
    """A day that has not come yet, or that contradicts another one."""


class UnableToCorrect(UnableToAct):
    """A correction without its reason."""


def refuse_ahead(day: date | None, today: date, *, field: str) -> None:
    """Refuse a day that has not come yet: what is recorded has happened."""
    if day is not None and day > today:
        raise UnableToUseDay(
            _("%(day)s has not come yet (today is %(today)s). Correct the day or its year.")
            % {"day": day.isoformat(), "today": today.isoformat()},
            field=field,
        )


def save_because(row: Model, why: str = "") -> None:
    """Save a row with the reason in its history; the next save of it starts without one."""
    one: Any = row
    one._change_reason = why[:LONGEST_REASON] or None
    one.save()
    one._change_reason = None


def was_wrong(why: str) -> str:
    """Return the reason that history keeps of a correction.

    Raises:
        UnableToCorrect: nothing says what was wrong.
    """
    words = why.strip()
    if not words:
        raise UnableToCorrect(
            _("Say in a few words what was wrong: it is kept beside the old value."), field="why"
        )
    return f"was wrong: {words}"
