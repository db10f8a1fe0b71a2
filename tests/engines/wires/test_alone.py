"""A valve running alone gets what its wire leaves; a transformer carries all that draws."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sites.wires.engines.alone import Amperes, TransformerLoad, transformer_load, volts_alone
from sites.wires.engines.copper import UnableToCompute


def test_the_wires_drop_is_its_ohms_by_the_amperes() -> None:
    # W2 of a published course: 9.46 ohm at 0.5 A from 24 V leaves 19.27 V.
    found = volts_alone(volts_out=24, wire_ohms=9.46, amperes=Amperes(0.5, 0.5))
    assert found.holding == found.starting == pytest.approx(19.27, abs=0.02)


@given(wire_ohms=st.floats(0, 50), volts_out=st.floats(21, 28))
def test_it_gets_less_as_it_starts_and_never_more_than_leaves_the_controller(
    wire_ohms: float, volts_out: float
) -> None:
    found = volts_alone(volts_out=volts_out, wire_ohms=wire_ohms, amperes=Amperes())
    assert found.starting <= found.holding <= volts_out


@pytest.mark.parametrize(("volts_out", "wire_ohms"), [(24, 60), (24, 1000), (0, 1), (24, -1)])
def test_what_cannot_be_is_refused(volts_out: float, wire_ohms: float) -> None:
    with pytest.raises(UnableToCompute):
        volts_alone(volts_out=volts_out, wire_ohms=wire_ohms, amperes=Amperes())


def test_one_starting_and_one_holding_make_the_load() -> None:
    found = transformer_load(volts_out=24, transformer_va=40, amperes=Amperes())
    assert found.va == pytest.approx(24 * 0.65)
    assert not found.is_too_much


@pytest.mark.parametrize(
    ("va", "transformer_va", "too_much"),
    [(15.6, 10, True), (15.6, None, False), (101, None, True), (101, 150, True), (40, 40, False)],
)
def test_nameplate_and_class_2_both_bound_the_load(
    va: float, transformer_va: float | None, too_much: bool
) -> None:
    assert TransformerLoad(va, transformer_va).is_too_much is too_much


def test_a_nameplate_above_class_2_is_told() -> None:
    assert TransformerLoad(15.6, 150).is_beyond_class_2
    assert not TransformerLoad(15.6, 100).is_beyond_class_2
