"""Colours of marks on the ground."""

import pytest

from faults.notices.engines.marks import MARKS, MarkColour, Marked


# The first four found in copies; the others, APWA's uniform colour code, from memory.
@pytest.mark.parametrize(
    ("colour", "marked"),
    [
        ("red", Marked.ELECTRIC),
        ("yellow", Marked.GAS),
        ("orange", Marked.COMMUNICATION),
        ("blue", Marked.POTABLE_WATER),
        ("white", Marked.PROPOSED_WORK),
        ("pink", Marked.SURVEY),
        ("green", Marked.SEWER),
        ("purple", Marked.RECLAIMED_WATER),
    ],
)
def test_what_a_colour_stands_for(colour: str, marked: Marked) -> None:
    assert MARKS[MarkColour(colour)] is marked
