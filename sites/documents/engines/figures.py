"""Figures: numbers as words, with the very number that the words show."""

from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from sites.documents.engines.document import Figure, Number

NOTHING = Figure("")


def text(words: object) -> Figure:
    """Return words that are no number."""
    return Figure(str(words))


def count(n: int) -> Figure:
    """Return a whole number."""
    return Figure(f"{n:,}", n)


def day(on: date | None, otherwise: str = "") -> Figure:
    """Return a day as 2026-03-14: the same in every country."""
    return Figure(on.isoformat() if on else otherwise)


def amount(value: Number | Decimal, *, decimals: int, unit: str = "") -> Figure:
    """Return a number with so many decimals, rounded half up, and its unit.

    What rounds to nothing is written without a sign.
    """
    step = Decimal(1).scaleb(-decimals)
    exact = value if isinstance(value, Decimal) else Decimal(repr(value))
    rounded = exact.quantize(step, ROUND_HALF_UP) + 0
    number = int(rounded) if decimals == 0 else float(rounded)
    return Figure(f"{rounded:,.{decimals}f}{' ' if unit else ''}{unit}", number)


def with_words(pattern: str, figure: Figure) -> Figure:
    """Return a figure within words: "at least %s"."""
    return Figure(pattern % figure.words, figure.number)
