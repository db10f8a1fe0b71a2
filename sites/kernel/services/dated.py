"""What holds over days: changed from a day, was wrong, and taken back.

A change ends the row that held and begins a new one; a correction puts values right in place;
an undo leaves the false row with an empty period, and the row before it holds again.
"""

from collections.abc import Mapping
from datetime import date
from typing import TypeVar

from django.db.models import Manager, Model
from django.utils.translation import gettext as _

from sites.kernel.services.verb_days import refuse_ahead, save_because, was_wrong
from sites.kernel.services.verbs import UnableToAct
from sites.models import Equipment, Schedule, StandingAuthority, StationFacts, Tariff

# The tables whose rows hold over [from_on, to_on) and follow one another.
Dated = TypeVar("Dated", StationFacts, Schedule, Equipment, Tariff, StandingAuthority)


class UnableToChangeFrom(UnableToAct):
    """A change whose day, or whose values, cannot be."""


class UnableToTakeBack(UnableToAct):
    """Nothing to take back."""


def change_from(
    new: Dated,
    current: Dated | None,
    *,
    on: date,
    values: Mapping[str, object],
    today: date | None,
) -> Dated:
    """End `current` on the day and begin `new` with the values; return the new row.

    Args:
        new: unsaved, and already of its owner.
        current: the row that holds, or None.
        today: refuses a later day; None lets a change be planned ahead.
    """
    if today is not None:
        refuse_ahead(on, today, field="on")
    if current is not None and current.from_on is not None and on <= current.from_on:
        raise UnableToChangeFrom(
            _("What holds now began on %s. Give a later day, or say that it was wrong.")
            % current.from_on.isoformat(),
            field="on",
        )
    if current is not None and all(getattr(current, key) == values[key] for key in values):
        raise UnableToChangeFrom(_("Nothing is different: change a value first."))
    if current is not None:
        current.to_on = on
        current.save()
    put(new, values)
    new.from_on = on
    new.save()
    return new


def correct(row: Dated, *, values: Mapping[str, object], why: str) -> None:
    """Put the values right in place, for all days of the row."""
    reason = was_wrong(why)
    if row.pk and all(getattr(row, key) == values[key] for key in values):
        raise UnableToChangeFrom(_("Nothing is different: correct a value first."))
    put(row, values)
    save_because(row, reason)


def take_back(current: Dated | None, before: Dated | None, *, why: str) -> None:
    """Let `current` hold on no day, and `before` again."""
    reason = was_wrong(why)
    if current is None or current.from_on is None:
        raise UnableToTakeBack(_("There is no change to take back: this holds since ever."))
    current.to_on = current.from_on
    save_because(current, reason)
    if before is not None:
        before.to_on = None
        save_because(before, reason)


def last_row(rows: Manager[Dated]) -> Dated | None:
    """Return the open row of an owner's dated rows, or None."""
    return rows.filter(to_on__isnull=True).order_by("-from_on", "-pk").first()


def row_before(rows: Manager[Dated], current: Dated | None) -> Dated | None:
    """Return the row that ended when `current` began, or None."""
    if current is None or current.from_on is None:
        return None
    ended = rows.filter(to_on=current.from_on).exclude(pk=current.pk)
    return next(
        (each for each in ended.order_by("-from_on", "-pk") if each.from_on != each.to_on), None
    )


def lasting(rows: Manager[Dated]) -> list[Dated]:
    """Return an owner's dated rows, newest first, without those that were taken back."""
    found = sorted(rows.all(), key=lambda row: (row.from_on or date.min, row.pk), reverse=True)
    return [row for row in found if row.from_on is None or row.from_on != row.to_on]


def put(row: Model, values: Mapping[str, object]) -> None:
    """Set the values on the row, without saving."""
    for name, value in values.items():
        setattr(row, name, value)
