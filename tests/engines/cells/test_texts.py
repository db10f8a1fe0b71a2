"""Texts of cells: harmless in a spreadsheet and back, names that are one, letters of columns."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sites.cells.engines.defused import defuse, undefuse
from sites.cells.engines.plain_words import as_kept, normal, same_name
from sites.cells.engines.raw import column_index, column_letter, is_blank


@given(st.text(max_size=12) | st.from_regex(r"\A'{0,3}[=+\-@–]?.{0,4}", fullmatch=True))
def test_what_was_made_harmless_reads_back_as_it_was(text: str) -> None:
    assert undefuse(defuse(text)) == text


# What spreadsheet programs evaluate: common practice, no source.
@pytest.mark.parametrize("text", ["=1+1", "+1", "-2", "@a", "\t=1", "＝1", "'=1", "–", "— "])
def test_a_formula_gets_an_apostrophe(text: str) -> None:
    assert defuse(text) == f"'{text}"


@pytest.mark.parametrize("text", ["", "a=1", "'tis", "1-2", "– and more", " =1"])
def test_other_text_stays(text: str) -> None:
    assert defuse(text) == undefuse(text) == text


@pytest.mark.parametrize(
    ("heading", "same"),
    [("Run-Length (ft)", "runlengthft"), ("Año #", "anonumber"), ("Share, %", "sharepercent")],
)
def test_a_heading_loses_case_accents_and_marks(heading: str, same: str) -> None:
    assert normal(heading) == same


def test_names_are_one_whatever_their_spaces_and_case() -> None:
    assert same_name("Dry  Basin ") == same_name("dry basin") != same_name("drybasin")


def test_words_are_kept_single_spaced_without_marks_that_nobody_sees() -> None:
    assert as_kept("by\x00 the   gate\nleft") == "by the gate left"
    assert as_kept("by the  gate\n left \n", keep_lines=True) == "by the gate\nleft"


# The rule of spreadsheets: base 26 without a zero (ECMA-376 part 1, 18.3.1.4: from memory).
@pytest.mark.parametrize(("index", "letters"), [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ")])
def test_letters_of_columns(index: int, letters: str) -> None:
    assert column_letter(index) == letters
    assert column_index(letters) == column_index(letters.lower()) == index


@given(st.integers(0, 20_000))
def test_letters_lead_back_to_their_column(index: int) -> None:
    assert column_index(column_letter(index)) == index


@pytest.mark.parametrize(("cell", "blank"), [("", True), (" \t", True), ("0", False), (0, False)])
def test_blank_is_nothing_but_spaces(cell: str | int, blank: bool) -> None:
    assert is_blank(cell) is blank
