"""The phone's engine answers as the server's does, without a browser: differences shrink.

The scripts run in an interpreter in this process, on lines of few boxes. Chromium itself runs them
in tests/browser/test_phone_engine.py, on lines of up to twelve.
"""

import pytest
from hypothesis import given, settings

from tests.engines.phone_alike import Plain, by_python, same_belief, same_plan
from tests.engines.phone_scripts import ANSWER, script_runner
from tests.engines.phone_searches import searches_and_stands
from tests.examples import examples

MOST_BOXES = 6


@pytest.fixture(scope="module")
def phone():
    """Call a JavaScript function on the engine and a value."""
    return script_runner()


@settings(max_examples=examples(50))
@given(searches_and_stands(MOST_BOXES))
def test_drawn_searches_are_answered_alike(phone, case: tuple[Plain, Plain]) -> None:
    search, stand = case
    python, from_phone = by_python(search, stand), phone(ANSWER, [search, stand])
    assert from_phone.get("error") == python.get("error"), from_phone
    if "error" not in python:
        same_belief(python, from_phone)
        same_plan(python, from_phone)
