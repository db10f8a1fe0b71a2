"""Two coils on one wire: ohms as with one of them open blame the other, not the wire."""

from datetime import timedelta

import pytest

from faults.locating.engines import actions
from faults.locating.engines.belief import Outside
from faults.locating.engines.options import Stand
from faults.locating.services.ohms_words import ONE_OPEN_WORD, said_of
from faults.locating.services.shown import tried_lines
from faults.locating.services.standing import last_stand
from faults.locating.services.states import readings_of
from tests import make, make_searches
from tests.services.locating.test_hears import begun, coil_of, ohms, outside, record, state

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(("second", "word"), [(None, "too high"), (60.0, "one coil open")])
def test_ohms_of_one_coil_where_there_are_two_blame_the_other(
    second: float | None, word: str
) -> None:
    way = coil_of(make_searches.way(80, 100))
    way.station.second_coil_ohms = second
    way.station.save()
    before = outside(way, Outside.COIL)
    # By hand: 60 ohms and 2.3 of wire, the coil of 24 being open.
    ohms(way, 62.3)
    assert (outside(way, Outside.COIL) > 0.5 > before) is (second is not None)
    assert [each.words for each in state(way).known] == [
        f"62.3 ohms at the controller on {way.fault.reported_on}: {word}"
    ]
    if second is not None:
        assert state(way).options(Stand())[0].action == actions.CheckValve()


def test_ohms_of_one_coil_are_told_to_a_search_where_they_were_read() -> None:
    way = coil_of(make_searches.way(80, 100))
    search = begun(way)
    record(search, **said_of(ONE_OPEN_WORD))
    told = state(way, search)
    assert last_stand(told).at == 0
    (line,) = tried_lines(told, readings_of(search))
    assert line.said == "Ohms at the controller: as with one of the two coils open"
    assert said_of("open") == {"kind": "ohms", "ohms": "open"}
    record(search, at=make.NOW + timedelta(minutes=5), kind="check", check="coil", is_right=True)
    assert last_stand(state(way, search)).at == len(way.legs)
