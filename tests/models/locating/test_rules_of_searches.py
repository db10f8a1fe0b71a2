"""Each named rule on searches refuses what it names."""

from datetime import timedelta

import pytest

from faults.models import SearchNumber
from tests import make, make_searches
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db


def test_search_open_once_per_station() -> None:
    one = make_searches.search()
    with refused_by("search_open_once_per_station"):
        make_searches.search(fault=one.fault, station=one.station)


def test_search_ends_after_it_starts() -> None:
    with refused_by("search_ends_after_it_starts"):
        make_searches.finished(ended_at=make.NOW - timedelta(minutes=1))


def test_search_has_an_outcome_when_it_ends() -> None:
    with refused_by("search_has_an_outcome_when_it_ends"):
        make_searches.finished(outcome="")
    with refused_by("search_has_an_outcome_when_it_ends"):
        make_searches.search(outcome="found")


def test_search_reading_voided_with_a_reason() -> None:
    with refused_by("search_reading_voided_with_a_reason"):
        make_searches.search_reading(voided_at=make.NOW)


def test_search_number_not_negative() -> None:
    with refused_by("search_number_not_negative"):
        SearchNumber.objects.create(name="box_sensitivity", value=-0.1, source="a guess")
