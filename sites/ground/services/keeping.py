"""What the verbs on the ground and on wires share."""

from collections.abc import Iterable
from typing import Any

from django.db.models import Model
from django.utils.translation import gettext as _

from sites.cells.engines.measures import LENGTH
from sites.kernel.services.verb_days import LONGEST_REASON
from sites.models import Property

MOST_NAMED = 6


def take_out(row: Model, why: str) -> None:
    """Remove a row that was entered by mistake; its history stays, with the reason."""
    one: Any = row
    one._change_reason = why[:LONGEST_REASON] or None
    one.delete()


def put(row: Model, values: dict[str, object]) -> None:
    """Set attributes."""
    for name, value in values.items():
        setattr(row, name, value)


def named(rows: Iterable[object]) -> str:
    """Return the first few names, and how many more there are."""
    names = [str(row) for row in rows]
    shown = ", ".join(names[:MOST_NAMED])
    more = len(names) - MOST_NAMED
    return shown if more <= 0 else _("%(names)s and %(n)d more") % {"names": shown, "n": more}


def length_in_words(length_ft: float, place: Property) -> str:
    """Write a length in the property's units, exactly enough to find it again."""
    unit = LENGTH.default(place.units)
    return f"{LENGTH.from_stored(length_ft, unit):.4g} {unit}"
