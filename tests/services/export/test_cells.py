"""Cells are read back as what was written, whatever it was."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sites.cells.engines.days import read_window, window_text
from sites.cells.engines.defused import defuse, undefuse
from sites.cells.engines.measures import LENGTH, read_measure
from sites.cells.engines.plain_words import as_kept
from sites.cells.services.columns import Manner, plain_text
from sites.cells.services.shown import names, number, number_text
from sites.cells.services.size_and_names import Names
from sites.cells.services.writing import Written, csv_lines

TODAY = date(2025, 6, 15)
DAYS = st.dates(date(1950, 1, 1), TODAY)
WORDS = st.text(st.characters(exclude_categories=["C"]), min_size=1, max_size=20)


@given(st.text(max_size=30))
def test_text_made_harmless_is_read_back_as_it_was(text: str) -> None:
    assert undefuse(defuse(text)) == text


@given(st.sampled_from("=+-@\t\r＝＋－＠"), st.text(max_size=10))
def test_no_text_is_left_that_starts_as_a_formula(mark: str, rest: str) -> None:
    assert defuse(mark + rest)[0] == "'"


@pytest.mark.parametrize("dash", ["-", "–", "—", "−", "- "])
def test_a_lone_dash_would_erase_and_never_stands_alone(dash: str) -> None:
    assert defuse(dash) == f"'{dash}"


@given(WORDS)
def test_words_that_are_kept_come_back_through_a_cell(text: str) -> None:
    kept = as_kept(text)
    assert plain_text(defuse(kept)) == kept


@given(st.floats(allow_nan=False, allow_infinity=False, width=64, min_value=-1e15, max_value=1e15))
def test_numbers_come_back_to_the_last_digit(value: float) -> None:
    text = number_text(float(number(value)))
    assert read_measure(text, LENGTH, unit="ft", mark=".") == value


@given(DAYS, DAYS)
def test_windows_of_days_come_back(one: date, other: date) -> None:
    window = min(one, other), max(one, other)
    assert read_window(window_text(window), order="", today=TODAY) == window


@given(st.integers(1950, 2024), st.integers(1, 12))
def test_a_whole_month_is_written_as_one(year: int, month: int) -> None:
    window = read_window(f"{year}-{month:02d}", order="", today=TODAY)
    assert window_text(window) == f"{year}-{month:02d}"


@given(st.lists(WORDS.map(as_kept).filter(lambda text: text and ";" not in text), unique=True))
def test_names_come_back_however_many_commas_they_hold(values: list[str]) -> None:
    joined = names(values)
    found = Names("x").read(joined, Manner(TODAY), "") if joined else []
    assert found == [undefuse(values[0]), *values[1:]] if values else found == []


def test_a_heading_row_comes_even_without_rows() -> None:
    assert "".join(csv_lines(Written("x", ["a", "b"], list))) == "\ufeffa,b\r\n"
