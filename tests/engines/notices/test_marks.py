"""How near to a mark only hand tools may dig."""

import pytest

from faults.notices.engines.marks import hand_dug_beside_in


# CGA 5.19, Texas texas811.org, Mississippi ms811.org: 18 in; Florida my.sunshine811.com: 24 in
# (all found); California 24 in from memory.
@pytest.mark.parametrize(
    ("of_the_place", "beside_in"), [(None, 18), (12, 18), (18, 18), (18.5, 18.5), (24, 24)]
)
def test_the_larger_of_the_places_figure_and_the_common_one_holds(
    of_the_place: float | None, beside_in: float
) -> None:
    assert hand_dug_beside_in(of_the_place) == beside_in


@pytest.mark.parametrize("of_the_place", [0, -18])
def test_a_width_of_nothing_is_refused(of_the_place: float) -> None:
    with pytest.raises(ValueError, match="of_the_place > 0"):
        hand_dug_beside_in(of_the_place)
