"""Stored values as cells: each exactly as the loader reads it back."""

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

Cell = str | int | float | date


def number(value: float | Decimal) -> int | float:
    """Return a number, whole where it is: 120 and not 120.0."""
    exact = float(value)
    return int(exact) if exact.is_integer() else exact


def number_text(value: float) -> str:
    """Return a number with all its digits and no exponent, which no reader of lists knows."""
    return format(Decimal(repr(value)), "f")


def share_text(share: float) -> str:
    """Write a share in whole percent; only what is certain is 0 or 100 %."""
    whole = round(100 * share)
    if whole == 100 and share < 1:
        return _("more than 99 %")
    if whole == 0 and share > 0:
        return _("less than 1 %")
    return f"{whole} %"


def names(values: Iterable[str]) -> str:
    """Join names; a lone one that holds a comma must not be taken for two."""
    each = list(values)
    joined = "; ".join(each)
    return f"{joined};" if len(each) == 1 and "," in joined else joined


def held_by(records: Sequence[Any], path: str) -> Any:
    """Follow a path such as "leg.label" from the first of the records that has its start."""
    first, *rest = path.split(".")
    found = next((getattr(each, first) for each in records if hasattr(each, first)), None)
    for name in rest:
        found = None if found is None else getattr(found, name)
    return found
