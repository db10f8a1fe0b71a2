"""Reasons, read from the words that offices write."""

import pytest

from sites.stopgaps.engines.reasons import read_reason
from sites.stopgaps.engines.spells import Reason


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        ("wire", Reason.WIRE),
        ("Gopher got it", Reason.WIRE),
        ("cut by a shovel at the valve", Reason.WIRE),
        ("bad splices", Reason.WIRE),
        ("roots", Reason.WIRE),
        ("cable cortado", Reason.WIRE),
        ("open", Reason.WIRE),
        ("solenoid short", Reason.VALVE),
        ("Diaphragm torn", Reason.VALVE),
        ("válvula", Reason.VALVE),
        ("clock output open", Reason.CONTROLLER),
        ("module 2 dead", Reason.CONTROLLER),
        ("no radio signal", Reason.LINK_LOST),
        ("Link lost", Reason.LINK_LOST),
        ("client's choice", Reason.CLIENT),
        ("client asked to shut the valve", Reason.CLIENT),
        ("owner", Reason.CLIENT),
        ("not known", Reason.NOT_KNOWN),
    ],
)
def test_words_name_their_reason(words: str, reason: Reason) -> None:
    assert read_reason(words) == reason


@pytest.mark.parametrize("words", ["", "???", "water shortage", "ask Bo", "rooster"])
def test_words_that_name_nothing_are_no_reason(words: str) -> None:
    assert read_reason(words) is None


@pytest.mark.parametrize("reason", list(Reason))
def test_every_reason_is_read_back_from_its_own_name(reason: Reason) -> None:
    assert read_reason(f"  {reason.value.upper()} ") == reason
