"""Numbers and measures as people type them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sites.cells.engines.measures import AREA, FLOW, LENGTH, SHARE, TEMPERATURE, read_measure
from sites.cells.engines.numbers import COMMA, POINT, decimal_mark, read_number


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("85", 85.0),
        (" 85 ", 85.0),
        ("1,250.5", 1250.5),
        ("1.250,5", 1250.5),
        ("1 250", 1250.0),
        ("1\u00a0250,5", 1250.5),
        ("1'250.5", 1250.5),
        ("12,5", 12.5),
        ("0,125", 0.125),
        ("-3.5", -3.5),
        ("−3.5", -3.5),
        (".5", 0.5),
        ("1.5E+3", 1500.0),
    ],
)
def test_a_number_reads_one_way_only(text: str, number: float) -> None:
    assert read_number(text, POINT) == read_number(text, COMMA) == number


def test_the_mark_settles_what_could_be_either() -> None:
    assert decimal_mark("1,250") == decimal_mark("1.250") == "?"
    assert (read_number("1,250", POINT), read_number("1,250", COMMA)) == (1250.0, 1.25)


@pytest.mark.parametrize("text", ["", "abc", "12 5", "1,2,3", "1.2.3", "12a", "--4", "1,25,000"])
def test_what_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="number"):
        read_number(text)


@given(
    st.integers(min_value=-(10**9), max_value=10**9),
    st.integers(min_value=0, max_value=99),
    st.sampled_from([(",", "."), (".", ","), (" ", ","), ("\u202f", "."), ("'", "."), ("", ".")]),
)
def test_a_number_survives_every_way_of_writing(
    whole: int, cents: int, marks: tuple[str, str]
) -> None:
    group, decimal = marks
    text = f"{whole:,}".replace(",", group) + f"{decimal}{cents:02d}"
    expected = float(f"{whole}.{cents:02d}")
    assert read_number(text, decimal) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("text", "stored"),
    [
        ("85", 85.0),
        ("85 ft", 85.0),
        ("85'", 85.0),
        ("10 m", 32.808399),
        ("2 yd", 6.0),
        ("1,250.5 ft", 1250.5),
    ],
)
def test_a_unit_in_the_cell_wins(text: str, stored: float) -> None:
    assert read_measure(text, LENGTH, unit="ft", mark=POINT) == pytest.approx(stored)


def test_units_convert_into_the_stored_ones() -> None:
    assert read_measure("100", AREA, unit="m²", mark=POINT) == pytest.approx(1076.391)
    assert read_measure("10", FLOW, unit="l/min", mark=POINT) == pytest.approx(2.641721)
    assert read_measure("20", TEMPERATURE, unit="°C", mark=POINT) == pytest.approx(68.0)
    assert read_measure("75 %", SHARE, unit="1", mark=POINT) == pytest.approx(0.75)


def test_a_unit_of_another_kind_is_refused() -> None:
    with pytest.raises(ValueError, match="unit"):
        read_measure("85 gpm", LENGTH, unit="ft", mark=POINT)
