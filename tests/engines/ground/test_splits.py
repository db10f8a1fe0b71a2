"""Splitting a leg at a new point and making it whole again moves no place in the ground."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sites.ground.engines.splits import Mark, Split

LENGTHS = st.floats(min_value=0.5, max_value=5000)
SHARES = st.floats(min_value=0, max_value=1)


def test_a_place_before_the_new_point_lies_in_the_first_part() -> None:
    assert Split(40, 60).part_of(Mark(30)) == (0, Mark(30))


def test_a_place_beyond_the_new_point_is_measured_from_it() -> None:
    assert Split(40, 60).part_of(Mark(70)) == (1, Mark(30))


def test_feet_taken_from_the_second_end_stay_feet_from_there() -> None:
    assert Split(40, 60).part_of(Mark(20, from_second=True)) == (1, Mark(20, from_second=True))


def test_feet_taken_from_the_second_end_across_the_new_point_are_taken_from_it() -> None:
    assert Split(40, 60).part_of(Mark(70, from_second=True)) == (0, Mark(10, from_second=True))


def test_a_place_at_the_new_point_belongs_to_the_first_part() -> None:
    assert Split(40, 60).part_of(Mark(40)) == (0, Mark(40))


def test_a_split_may_be_measured_from_either_end() -> None:
    assert Split.at(Mark(40), length_ft=100) == Split(40, 60)
    assert Split.at(Mark(40, from_second=True), length_ft=100) == Split(60, 40)


@pytest.mark.parametrize("feet", [0, 100, 120, -3])
def test_a_point_at_an_end_or_outside_splits_nothing(feet: float) -> None:
    with pytest.raises(ValueError, match="inside"):
        Split.at(Mark(feet), length_ft=100)


@given(first=LENGTHS, second=LENGTHS, share=SHARES, from_second=st.booleans())
def test_split_and_made_whole_again_a_place_is_where_it_was(
    first: float, second: float, share: float, from_second: bool
) -> None:
    split, mark = Split(first, second), Mark(share * (first + second), from_second)
    assert split.whole_of(*split.part_of(mark)).feet == pytest.approx(mark.feet, abs=1e-9)


@given(first=LENGTHS, second=LENGTHS, share=SHARES, from_second=st.booleans())
def test_a_place_keeps_its_feet_along_the_two_parts_together(
    first: float, second: float, share: float, from_second: bool
) -> None:
    split, mark = Split(first, second), Mark(share * (first + second), from_second)
    part, inside = split.part_of(mark)
    start, length = ((0.0, first), (first, second))[part]
    along = mark.from_first_end(first + second)
    assert start + inside.from_first_end(length) == pytest.approx(along, abs=1e-9)
    assert -1e-9 <= inside.feet <= length + 1e-9
