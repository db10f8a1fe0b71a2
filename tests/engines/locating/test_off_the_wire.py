"""A distance that no place on the wire can give is refused, at three of its own errors."""

import numpy as np
import pytest

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.distance_error import distance_sd
from faults.locating.engines.evidence import UnusableReading
from faults.locating.engines.line import Box, Leg, Line
from faults.locating.engines.off_the_wire import (
    ERRORS_EXPLAIN,
    OffTheWire,
    refuse_off_the_wire,
)
from faults.locating.engines.other_tests import Check, Checked, Distance, EarthGradient

LINE = Line((Leg("a", 300.0),))
GUESSED = Line((Leg("a", 300.0), Leg("b", 400.0, is_guessed=True)), (Box("box"),))
ASSUMED = Assumptions()


def is_refused(reading: Distance | EarthGradient, line: Line = LINE) -> bool:
    try:
        refuse_off_the_wire(reading, line, ASSUMED)
    except OffTheWire:
        return True
    return False


@pytest.mark.parametrize("from_valve", [False, True])
def test_three_of_its_own_errors_are_the_edge_at_both_ends(*, from_valve: bool) -> None:
    for off, refused in ((11.99, False), (12.0, False), (12.01, True)):
        for feet in (-off, 300 + off):
            reading = Distance(feet, from_valve, sd_ft=4.0, sd_share=0.0)
            assert is_refused(reading) is refused, feet


def test_by_the_assumed_error_where_the_instrument_says_none() -> None:
    # At the far end feet and share count, at the near end the feet alone.
    far = ERRORS_EXPLAIN * np.hypot(ASSUMED.distance_sd_ft, ASSUMED.distance_sd_share * 300)
    near = ERRORS_EXPLAIN * ASSUMED.distance_sd_ft
    assert not is_refused(Distance(300 + far - 0.01))
    assert is_refused(Distance(300 + far + 0.01))
    assert not is_refused(Distance(-near + 0.01))
    assert is_refused(Distance(-near - 0.01))


def test_guessed_lengths_on_the_way_widen_it() -> None:
    exact = {"sd_ft": 0.0, "sd_share": 0.0}
    far = ERRORS_EXPLAIN * ASSUMED.guessed_sd_share * 400
    assert not is_refused(Distance(700 + far - 0.1, **exact), GUESSED)
    assert is_refused(Distance(700 + far + 0.1, **exact), GUESSED)
    # At the tester's own end nothing guessed lies on the way: half a foot of reading is left.
    assert is_refused(Distance(-2.0, **exact), GUESSED)
    assert is_refused(Distance(-2.0, True, **exact), GUESSED)


def test_the_error_is_the_one_by_which_the_likelihood_spreads() -> None:
    """At its peak a normal is 1 / (sd sqrt(2 pi)): read back from the likelihood itself."""
    line, useless = GUESSED, ASSUMED.distance_useless
    cell = int(np.argmin(abs(line.cell_ft - 650.0)))
    feet = line.cell_ft[cell : cell + 1]
    for from_valve in (False, True):
        (sd,) = distance_sd(feet, line, ASSUMED, from_valve=from_valve, sd_ft=None, sd_share=None)
        read = float(line.length_ft - feet[0] if from_valve else feet[0])
        told = Distance(read, from_valve).likelihood(line, ASSUMED)
        peak = (told.legs[cell] - useless / line.length_ft) / (1 - useless)
        assert 1 / (peak * np.sqrt(2 * np.pi)) == pytest.approx(float(sd))


def test_a_leak_found_in_the_ground_lies_on_the_wire_too() -> None:
    edge = ERRORS_EXPLAIN * ASSUMED.gradient_sd_ft
    assert not is_refused(EarthGradient(300 + edge - 0.01))
    assert is_refused(EarthGradient(300 + edge + 0.01))
    assert is_refused(EarthGradient(-edge - 0.01))


def test_other_tests_have_no_distance_to_refuse() -> None:
    refuse_off_the_wire(Checked(Check.COIL, True), LINE, ASSUMED)


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), -float("inf")])
def test_what_is_no_number_is_no_distance(bad: float) -> None:
    with pytest.raises(UnusableReading):
        refuse_off_the_wire(Distance(bad), LINE, ASSUMED)


@pytest.mark.parametrize("feet", [300.0, 316.0, 1e6])
def test_a_farthest_place_beyond_the_end_is_no_contradiction(feet: float) -> None:
    refuse_off_the_wire(Distance(feet, sd_ft=5.0, sd_share=0.0, is_farthest=True), LINE, ASSUMED)


def test_a_farthest_place_before_the_start_is_one() -> None:
    refuse_off_the_wire(Distance(-15.0, sd_ft=5.0, sd_share=0, is_farthest=True), LINE, ASSUMED)
    with pytest.raises(OffTheWire):
        refuse_off_the_wire(Distance(-15.1, sd_ft=5.0, sd_share=0, is_farthest=True), LINE, ASSUMED)
