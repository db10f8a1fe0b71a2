"""A distance that no place on the wire can give is no test of a search, and moves nothing."""

from typing import Any

import pytest

from faults.locating.services.doing import UnableToSearch, record_search_reading, start_search
from faults.locating.services.states import state_of
from faults.models import Search, SearchReading
from sites.models import LengthSource
from tests import make, make_searches

pytestmark = pytest.mark.django_db


def begun() -> Search:
    way = make_searches.way(100, 200)
    for leg in way.legs:
        leg.length_source = LengthSource.MEASURED
        leg.save()
    return start_search(fault=way.fault, station=way.station, at=make.NOW, by=None)


def record(search: Search, **said: Any) -> SearchReading:
    whole = {"kind": "distance", **said}
    return record_search_reading(
        search=search, said=whole, taken_at=make.NOW, by=None, now=make.NOW
    )


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"feet": -500.0}, "-500 ft lies before the start of this wire"),
        ({"feet": 1e9}, "1,000,000,000 ft lies beyond the end of this wire (300 ft)"),
        ({"feet": 500.0, "from_valve": True}, "500 ft lies beyond the end"),
        ({"kind": "gradient", "feet": 400.0}, "400 ft lies beyond the end"),
    ],
)
def test_it_moves_no_likelihood_and_says_what_to_check(said: dict[str, Any], words: str) -> None:
    search = begun()

    def outside() -> dict[Any, float]:
        state = state_of(search.fault, search.station, search, today=make.TODAY)
        assert state.belief is not None
        return dict(state.belief.outside)

    before = outside()
    with pytest.raises(UnableToSearch) as refused:
        record(search, **said)
    assert words in str(refused.value)
    assert "Check" in str(refused.value)
    assert not search.readings.exists()
    assert outside() == before


def test_within_its_error_it_is_kept_as_the_instrument_showed_it() -> None:
    search = begun()
    kept = record(search, feet=310.0, sd_ft=4.0, sd_share=0.0)
    assert kept.said["feet"] == 310.0
    with pytest.raises(UnableToSearch):
        record(search, feet=313.0, sd_ft=4.0, sd_share=0.0)
