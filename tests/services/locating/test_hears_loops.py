"""A bring-home test reaches the search of its station's fault."""

from datetime import timedelta

import pytest

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Outside
from faults.locating.engines.line import Leg, Line
from faults.locating.engines.seen import Ohms, OhmsRead
from faults.locating.services.numbers import UnableToSetNumber, number_lines, set_number
from faults.locating.services.states import state_of
from faults.models import ReadingKind
from faults.readings.forms.meter import OPEN_OHMS
from faults.readings.services.loop_numbers import loop_numbers_now
from tests import make, make_searches
from tests.make_searches import Way

pytestmark = pytest.mark.django_db
TODAY = make.TODAY


@pytest.fixture
def way() -> Way:
    """A station off for its valve, 500 ft of No. 14, with a fault that is sought."""
    one = make_searches.way(200.0, 300.0)
    make.stopgap(station=one.station, on=one.fault.reported_on, reason="valve or solenoid")
    one.wire.size = "14"
    one.wire.save()
    for leg in one.legs:
        leg.length_source = "measured"
        leg.save()
    return one


def read(way: Way, ohms: float, **given: object) -> None:
    """A bring-home test on the day of the report."""
    usual = {
        "station": way.station, "wire": way.wire, "kind": ReadingKind.LOOP, "value": ohms,
        "taken_on": way.fault.reported_on, "is_open_apart": True, "temperature_f": 68,
    }  # fmt: skip
    make.reading(**{**usual, **given})


def said(way: Way) -> list[object]:
    """What the search has heard of loops."""
    known = state_of(way.fault, way.station, None, today=TODAY).known
    return [each.said["ohms"] for each in known if each.said.get("joined")]


def wire_share(way: Way) -> float:
    """How likely the wire is to blame."""
    belief = state_of(way.fault, way.station, None, today=TODAY).belief
    assert belief is not None
    return 1 - sum(belief.outside.values())


@pytest.mark.parametrize(
    ("ohms", "apart", "heard"),
    [
        (2.5, True, "as expected"),
        (OPEN_OHMS, True, "open"),
        (0.8, False, "dead short"),
        (17.0, True, "high"),
    ],
)
def test_what_a_loop_says(way: Way, ohms: float, apart: bool, heard: str) -> None:
    read(way, ohms, is_open_apart=apart)
    assert said(way) == [heard]


def test_a_sound_loop_turns_the_search_away_from_the_wire(way: Way) -> None:
    before = wire_share(way)
    read(way, 2.5)
    assert wire_share(way) < 0.15 < before


def test_an_open_loop_clears_the_coil(way: Way) -> None:
    read(way, OPEN_OHMS)
    belief = state_of(way.fault, way.station, None, today=TODAY).belief
    assert belief is not None
    assert belief.outside[Outside.COIL] < 0.02


def test_what_is_doubtful_or_older_than_the_report_says_nothing(way: Way) -> None:
    read(way, 3.8)
    assert said(way) == []
    read(way, OPEN_OHMS, taken_on=way.fault.reported_on - timedelta(days=1))
    assert said(way) == []


def test_joined_wires_leave_the_coil_out() -> None:
    assumed = Assumptions()
    one = Line((Leg("a", 100.0),))
    joined = OhmsRead(Ohms.OPEN, joined=True).likelihood(one, assumed)
    whole = OhmsRead(Ohms.OPEN).likelihood(one, assumed)
    assert joined.outside[Outside.COIL] == joined.outside[Outside.WATER]
    assert whole.outside[Outside.COIL] > 10 * joined.outside[Outside.COIL]
    fine = OhmsRead(Ohms.AS_EXPECTED, joined=True).likelihood(one, assumed)
    assert fine.legs.max() < 0.02 * fine.outside[Outside.COIL]


def test_numbers_of_loops_are_set_on_the_page_of_numbers() -> None:
    names = [line.name for line in number_lines()]
    assert len(names) == len(set(names))
    assert {"loop_sound_from", "loop_sound_if_wire"} < set(names)
    set_number(name="loop_sound_if_wire", value=0.4, source="our rounds of 2025")
    # One number for searches and bring-home tests.
    set_number(name="hazard_per_ft_year", value=2e-4, source="our records")
    numbers = loop_numbers_now()
    assert (numbers.loop_sound_if_wire, numbers.hazard_per_ft_year) == (0.4, 2e-4)
    for value in (0.98, 1.0):
        with pytest.raises(UnableToSetNumber):
            set_number(name="loop_sound_from", value=value, source="a wish")
    assert loop_numbers_now().loop_sound_from == 0.99
