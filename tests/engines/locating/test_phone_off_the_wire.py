"""The phone refuses the same distances as the server, and names the same error."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.line import Box, Leg, Line
from faults.locating.engines.off_the_wire import OffTheWire, refuse_off_the_wire
from faults.locating.engines.other_tests import Distance
from tests.engines.locating.phone_scripts import script_runner
from tests.examples import examples

ASK = "(engine, [plain, said]) => engine.errorIfOffTheWire(plain, said)"
feet = st.floats(0, 900)
sd = st.none() | st.floats(0, 200)


@pytest.fixture(scope="module")
def phone():
    """Call a JavaScript function on the engine and a value."""
    return script_runner()


def by_python(reading: Distance, line: Line, assumed: Assumptions) -> float | None:
    try:
        refuse_off_the_wire(reading, line, assumed)
    except OffTheWire as problem:
        return problem.error_ft
    return None


@settings(max_examples=examples(100))
@given(
    lengths=st.lists(st.tuples(feet, st.booleans()), min_size=1, max_size=4).filter(
        lambda legs: sum(length for length, _ in legs) > 1
    ),
    read=st.floats(-2000, 5000),
    from_valve=st.booleans(),
    sd_ft=sd,
    sd_share=st.none() | st.floats(0, 0.3),
)
def test_drawn_distances_are_refused_alike(
    phone: Any,
    lengths: list[tuple[float, bool]],
    read: float,
    from_valve: bool,
    sd_ft: float | None,
    sd_share: float | None,
) -> None:
    legs = tuple(Leg(str(i), ft, is_guessed=guessed) for i, (ft, guessed) in enumerate(lengths))
    line = Line(legs, tuple(Box(str(i)) for i in range(len(legs) - 1)))
    assumed = Assumptions(guessed_sd_share=0.2)
    here = by_python(Distance(read, from_valve, sd_ft, sd_share), line, assumed)
    plain = {
        "line": {"legs": [{"length_ft": ft, "is_guessed": guessed} for ft, guessed in lengths]},
        "assumed": {"guessed_sd_share": 0.2},
    }
    said = {"feet": read, "from_valve": from_valve, "sd_ft": sd_ft, "sd_share": sd_share}
    assert phone(ASK, [plain, said]) == (None if here is None else pytest.approx(here))


@pytest.mark.parametrize(("read", "error"), [(312.0, None), (312.1, 4.0), (-12.0, None), (-13, 4)])
def test_three_errors_are_the_edge_on_the_phone(
    phone: Any, read: float, error: float | None
) -> None:
    plain = {"line": {"legs": [{"length_ft": 300, "is_guessed": False}]}, "assumed": {}}
    said = {"feet": read, "from_valve": False, "sd_ft": 4, "sd_share": 0}
    assert phone(ASK, [plain, said]) == error
