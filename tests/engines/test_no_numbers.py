"""What is no number, or no temperature of copper, raises the engine's own error."""

from math import inf, nan

import pytest

from faults.readings.engines.depth import (
    NoDepth,
    UnableToTellDepth,
    depth_from_offsets,
    depth_from_two_heights,
)
from sites.ground.engines.routes import Stretch
from sites.wires.engines.alone import Amperes, volts_alone
from sites.wires.engines.copper import UnableToCompute, WireSize, copper_factor
from sites.wires.engines.judge import (
    Expectation,
    Judgement,
    insulation_at_20_c,
    judge_insulation,
    judge_ohms,
)


@pytest.mark.parametrize("bad", [nan, -1.0, -inf])
def test_no_number_of_ohms_is_judged(bad: float) -> None:
    # NaN ohms were "low", and NaN megohms "fine".
    for known in (None, 50.0):
        with pytest.raises(UnableToCompute):
            judge_ohms(bad, Expectation(known, known))
    with pytest.raises(UnableToCompute):
        judge_insulation(bad)
    with pytest.raises(UnableToCompute):
        insulation_at_20_c(bad, 20.0)


def test_a_meter_beyond_its_range_still_tells() -> None:
    assert judge_ohms(inf, Expectation(50.0, 6.0)) is Judgement.OPEN
    assert judge_insulation(inf) is Judgement.FINE
    assert insulation_at_20_c(inf, 35.0) == inf


@pytest.mark.parametrize("bad", [nan, inf, -inf])
def test_no_temperature_is_none_of_copper(bad: float) -> None:
    for ohms in (copper_factor, WireSize(awg=18).ohms_per_kft, WireSize(mm2=1.5).ohms_per_kft):
        with pytest.raises(UnableToCompute):
            ohms(bad)
    with pytest.raises(UnableToCompute):
        insulation_at_20_c(1.0, bad)


def test_copper_has_no_ohms_below_0() -> None:
    # 1 + 0.00393 (T - 20) is 0 at -234.45 C; by IEC's 0.004 at -230 C.
    assert 0 < copper_factor(-234.4) < 0.001
    assert 0 < WireSize(mm2=1.5).ohms_per_kft(-229.9) < 0.01
    for ohms, cold in ((copper_factor, -234.5), (WireSize(mm2=1.5).ohms_per_kft, -230.0)):
        with pytest.raises(UnableToCompute):
            ohms(cold)


@pytest.mark.parametrize("bad", [nan, inf])
def test_no_volts_are_none_at_a_valve(bad: float) -> None:
    with pytest.raises(UnableToCompute):
        volts_alone(volts_out=bad, wire_ohms=5.0, amperes=Amperes())
    with pytest.raises(UnableToCompute):
        volts_alone(volts_out=24.0, wire_ohms=bad, amperes=Amperes())


@pytest.mark.parametrize("bad", [nan, inf, -1.0])
def test_no_length_is_no_leg(bad: float) -> None:
    with pytest.raises(ValueError, match="length_ft"):
        Stretch(1, 1, 2, bad)


@pytest.mark.parametrize("bad", [nan, inf])
def test_no_offset_is_no_depth(bad: float) -> None:
    for left, right, height in (((bad,), (1.0,), 0.0), ((1.0,), (1.0, bad), 0.0)):
        with pytest.raises(UnableToTellDepth) as no:
            depth_from_offsets(left, right, antenna_height_ft=height)
        assert no.value.why is NoDepth.NOT_ABOVE_0
    with pytest.raises(UnableToTellDepth):
        depth_from_offsets((1.0,), (1.0,), antenna_height_ft=bad)


@pytest.mark.parametrize(
    ("given", "why"),
    [
        ({"apart_ft": nan}, NoDepth.NOT_ABOVE_0),
        ({"apart_ft": inf}, NoDepth.NOT_ABOVE_0),
        ({"lower_height_ft": nan}, NoDepth.NOT_ABOVE_0),
        ({"ratio": nan}, NoDepth.NOT_FALLING),
        ({"ratio": inf}, NoDepth.TOO_HIGH),
    ],
)
def test_no_height_and_no_ratio_are_no_depth(given: dict[str, float], why: NoDepth) -> None:
    with pytest.raises(UnableToTellDepth) as no:
        depth_from_two_heights(**{"apart_ft": 1.0, "ratio": 1.5, **given})
    assert no.value.why is why
