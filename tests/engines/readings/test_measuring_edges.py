"""Edges of what is measured: nought, the least above it, and how errors of two readings add up."""

from math import sqrt

import pytest

from faults.readings.engines import distance as d
from faults.readings.engines import distance_loops as loops
from faults.readings.engines.depth import NoDepth, UnableToTellDepth, depth_from_offsets
from faults.readings.engines.placing import ImpossibleDistance, Piece
from sites.wires.engines.copper import IEC_MAX_OHM_PER_KM

TINY = 1e-9


@pytest.mark.parametrize("nought", [0.0, -TINY])
def test_an_offset_of_nothing_is_none(nought: float) -> None:
    for left, right in (((nought,), (2.0,)), ((2.0,), (2.0, nought))):
        with pytest.raises(UnableToTellDepth) as no:
            depth_from_offsets(left, right)
        assert no.value.why is NoDepth.NOT_ABOVE_0
        assert str(no.value) == NoDepth.NOT_ABOVE_0
    assert depth_from_offsets((TINY,), (TINY,)).depth_ft == pytest.approx(TINY)


@pytest.mark.parametrize(
    ("height_ft", "why"), [(-TINY, NoDepth.NOT_ABOVE_0), (2.0, NoDepth.TOO_HIGH)]
)
def test_the_antenna_stands_between_the_ground_and_the_reach(
    height_ft: float, why: NoDepth
) -> None:
    with pytest.raises(UnableToTellDepth) as no:
        depth_from_offsets((2.0,), (2.0,), antenna_height_ft=height_ft)
    assert no.value.why is why
    near = depth_from_offsets((2.0,), (2.0,), antenna_height_ft=2.0 - TINY)
    assert near.depth_ft == pytest.approx(TINY, rel=1e-3)


def test_sides_may_differ_by_15_percent_and_the_refusal_says_by_how_much() -> None:
    assert depth_from_offsets((1.85,), (2.149,)).shift_ft == pytest.approx(0.1495)
    with pytest.raises(UnableToTellDepth, match=r"bends the field \(16%\)") as no:
        depth_from_offsets((1.84,), (2.16,))
    assert no.value.asymmetry == pytest.approx(0.16)


@pytest.mark.parametrize("name", ["loop_ohms", "sound_arm", "faulty_arm"])
def test_each_value_of_a_bridge_is_above_nought(name: str) -> None:
    usual = {"loop_ohms": 54.07, "sound_arm": 668.0, "faulty_arm": 332.0}
    for value in (0.0, -1.0):
        with pytest.raises(ImpossibleDistance, match=f"Expected {name} > 0, got {value}"):
            d.murray_ratio(**{**usual, name: value})
    assert d.murray_ratio(**{**usual, name: TINY}) > 0


def test_errors_of_the_three_readings_of_blaviers_add_as_squares() -> None:
    readings = {"open_ohms": 30.0, "joined_ohms": 20.0, "loop_ohms": 50.0}  # our own

    def feet(open_ohms: float, joined_ohms: float, loop_ohms: float) -> float:
        ohms = joined_ohms - sqrt((open_ohms - joined_ohms) * (loop_ohms - joined_ohms))
        return 1000 * ohms / loop_ohms

    slopes = [
        (feet(**{**readings, name: value + 1e-6}) - feet(**readings)) / 1e-6
        for name, value in readings.items()
    ]
    found = loops.blavier(pair=[Piece(1000, 7.0)], reading_error_ohms=1e-3, **readings)
    assert found.error_ft == pytest.approx(1e-3 * sqrt(sum(each**2 for each in slopes)), rel=1e-3)


def test_each_metric_size_has_the_standards_own_resistance() -> None:
    # IEC 60228, conductors of plain copper at 20 degrees C, ohm/km (from memory).
    assert IEC_MAX_OHM_PER_KM == {
        0.5: 36.0, 0.75: 24.5, 1.0: 18.1, 1.5: 12.1, 2.5: 7.41, 4.0: 4.61, 6.0: 3.08,
    }  # fmt: skip
