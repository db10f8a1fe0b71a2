"""Figures as words, with the number that the words show. Rounding is half up, as money is."""

from datetime import date
from decimal import Decimal

import pytest

from sites.documents.engines import figures
from sites.documents.engines.document import Figure


@pytest.mark.parametrize(
    ("value", "decimals", "words", "number"),
    [
        (1234.5, 0, "1,235", 1235),
        (1233.5, 0, "1,234", 1234),
        (0.5, 0, "1", 1),
        (-0.4, 0, "0", 0),
        (2.345, 2, "2.35", 2.35),
        (Decimal("2.344"), 2, "2.34", 2.34),
        (Decimal("1234567.005"), 2, "1,234,567.01", 1234567.01),
        (3, 1, "3.0", 3.0),
    ],
)
def test_a_number_is_what_its_words_show(
    value: float | Decimal, decimals: int, words: str, number: float
) -> None:
    found = figures.amount(value, decimals=decimals)
    assert (found.words, found.number) == (words, number)
    assert isinstance(found.number, float if decimals else int)


def test_a_unit_stands_behind_a_space() -> None:
    assert figures.amount(7, decimals=0, unit="gal") == Figure("7 gal", 7)


def test_a_count_has_its_thousands() -> None:
    assert figures.count(12345) == Figure("12,345", 12345)


def test_a_day_that_is_not_known_says_what_it_is_told_to() -> None:
    assert figures.day(date(2026, 3, 9)) == Figure("2026-03-09")
    assert figures.day(None, "not known") == Figure("not known")
    assert figures.day(None) == Figure("")


def test_words_around_a_figure_keep_its_number() -> None:
    assert figures.with_words("at least %s", figures.count(1200)) == Figure("at least 1,200", 1200)


def test_words_are_no_number() -> None:
    assert figures.text(12) == Figure("12", None)
    assert Figure("", None) == figures.NOTHING
