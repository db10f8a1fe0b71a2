"""The way of a wire in words, read and written."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sites.models import Leg, Point
from sites.wires.services.ways import UnableToReadWay, read_way, way_in_words


def joined(*ends: tuple[int, int]) -> list[Leg]:
    """Make legs between numbered points, without a database: points P0, P1…, legs L0, L1…"""
    points = {pk: Point(pk=pk, name=f"P{pk}") for pair in ends for pk in pair}
    return [
        Leg(pk=pk, label=f"L{pk}", from_point=points[start], to_point=points[end])
        for pk, (start, end) in enumerate(ends)
    ]


def read(text: str, legs: list[Leg]) -> list[str]:
    """Return the labels of the legs that the text names."""
    return [leg.label for leg in read_way(text, legs=legs)]


TREE = joined((0, 1), (1, 2), (1, 3))


def test_points_in_order_name_the_legs_between_them() -> None:
    assert read("p0\nP1\n P2 ", TREE) == ["L0", "L1"]


def test_a_branch_follows_an_empty_line() -> None:
    assert read("P0\nP1\nP2\n\nP1\nP3", TREE) == ["L0", "L1", "L2"]


def test_labels_name_legs_too() -> None:
    assert read("L0\nL2", TREE) == ["L0", "L2"]


def test_an_empty_text_names_nothing() -> None:
    assert read(" \n", TREE) == []


def test_a_branch_begins_on_the_way() -> None:
    with pytest.raises(UnableToReadWay, match="named above it; P3"):
        read("P0\nP1\n\nP3\nP1", TREE)


def test_points_that_no_leg_joins_are_refused() -> None:
    with pytest.raises(UnableToReadWay, match="No leg joins P0 and P2"):
        read("P0\nP2", TREE)


def test_a_word_that_names_nothing_is_told() -> None:
    with pytest.raises(UnableToReadWay, match="P9") as refusal:
        read("P0\nP9", TREE)
    assert refusal.value.field == "way"


def test_legs_that_do_not_join_are_refused() -> None:
    apart = joined((0, 1), (2, 3))
    with pytest.raises(UnableToReadWay, match="L1 does not join"):
        read("L0\nL1", apart)


def test_between_two_points_with_several_legs_the_label_decides() -> None:
    twins = joined((0, 1), (0, 1), (1, 2))
    with pytest.raises(UnableToReadWay, match="Several legs"):
        read("P0\nP1", twins)
    assert read("P0\nL1\nP1\nP2", twins) == ["L1", "L2"]


def test_a_label_must_lead_to_the_point_after_it() -> None:
    with pytest.raises(UnableToReadWay, match="L0 does not lead to P2"):
        read("P1\nL0\nP2", TREE)


def test_pieces_that_do_not_join_cannot_be_read_back() -> None:
    apart = joined((0, 1), (2, 3))
    with pytest.raises(UnableToReadWay):
        read_way(way_in_words(apart, start=None), legs=apart)


@st.composite
def trees(draw: st.DrawFn) -> list[Leg]:
    """A tree of up to nine legs, with twins of some of them that the wire does not lie in."""
    ends: list[tuple[int, int]] = []
    for new in range(1, draw(st.integers(2, 10))):
        old = draw(st.integers(0, new - 1))
        ends.append(draw(st.sampled_from([(old, new), (new, old)])))
    twins = draw(st.lists(st.sampled_from(ends), max_size=3))
    return joined(*ends, *twins)


@given(legs=trees(), data=st.data())
def test_what_is_written_is_read_as_the_same_legs(legs: list[Leg], data: st.DataObject) -> None:
    wire = list({frozenset((leg.from_point_id, leg.to_point_id)): leg for leg in legs}.values())
    start = data.draw(st.sampled_from([leg.from_point for leg in wire]))
    text = way_in_words(wire, start=start, among=legs)
    assert {leg.pk for leg in read_way(text, legs=legs)} == {leg.pk for leg in wire}
