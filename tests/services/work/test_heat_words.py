"""Advice on heat comes on hot days only, in the units of the property."""

from datetime import date
from typing import Any

import pytest

from faults.work.services.heat_words import Heat, heat_of
from tests import make, make_jobs

pytestmark = pytest.mark.django_db

JULY, NOVEMBER = date(2025, 7, 15), date(2025, 11, 28)
DESERT = {"latitude": 33.4, "longitude": -112.0, "ground_coldest_f": 55.0, "ground_warmest_f": 90.0}


def heat(day: date = JULY, situations: tuple[str, ...] = (), **given: Any) -> Heat | None:
    """The advice for a job on a day at a place."""
    job = make_jobs.job(property=make.place(**given), day=day, situations=list(situations))
    return heat_of(job, NOVEMBER)


def test_in_july_in_the_desert_it_is_hot_and_in_november_it_is_not() -> None:
    assert heat(**DESERT) == Heat("a cup (8 oz)", "6 cups (48 oz)", "15 °F")
    assert heat(NOVEMBER, **DESERT) is None


def test_a_metric_property_reads_metric_units() -> None:
    assert heat(**DESERT, units="metric") == Heat("250 ml", "1.4 l", "8 °C")


def test_a_cold_place_is_not_hot_in_july() -> None:
    assert heat(latitude=60.0, longitude=10.0) is None


def test_what_is_not_known_is_no_heat_unless_the_crew_ticks_it() -> None:
    assert heat() is None
    assert heat(NOVEMBER, ("heat",)) is not None
