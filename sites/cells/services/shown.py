"""Stored values as cells: each exactly as the loader reads it back."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

Cell = str | int | float | date


def number(value: float | Decimal) -> int | float:
    """Return a number, whole where it is: 120 and not 120.0."""
    exact = float(value)
    return int(exact) if exact.is_integer() else exact


def number_text(value: float) -> str:
    """Return a number with all its digits and no exponent, which no reader of lists knows."""
    return format(Decimal(repr(value)), "f")


def names(values: Iterable[str]) -> str:
    """Join names; a lone one that holds a comma must not be taken for two."""
    each = list(values)
    joined = "; ".join(each)
    return f"{joined};" if len(each) == 1 and "," in joined else joined
