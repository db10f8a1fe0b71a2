"""Numbers are learned from finished searches, and none counts before a user accepts it."""

from datetime import timedelta
from typing import Any

import pytest

from faults.locating.services.doing import finish_search, record_search_reading, start_search
from faults.locating.services.learning import learn_from_searches
from faults.locating.services.numbers import assumed_now
from faults.models import LearnedNumber, Search
from tests import make, make_searches

pytestmark = pytest.mark.django_db


def nothing() -> None:
    """The round's sign of life, which these tests do not need."""


def learned() -> dict[str, LearnedNumber]:
    learn_from_searches(at=make.NOW, go_on=nothing)
    return {each.name: each for each in LearnedNumber.objects.all()}


def searched(*said: dict[str, Any], box_minutes: int = 12) -> Search:
    """Make a search whose break lies on the second of two legs, with these tests."""
    way = make_searches.way(200, 300, joints="s")
    search = start_search(fault=way.fault, station=way.station, at=make.NOW, by=None)
    at = make.NOW
    for each in said:
        at += timedelta(minutes=box_minutes)
        given = {"point": way.points[1].pk} if each["kind"] in ("box", "listened") else {}
        record_search_reading(search=search, said={**each, **given}, taken_at=at, by=None, now=at)
    found = make.break_found(fault=way.fault, leg=way.legs[1])
    return finish_search(search=search, outcome="found", found=found, at=at, now=at)


RIGHT = {"kind": "listened", "heard": True}
WRONG = {"kind": "listened", "heard": False}


def test_without_a_search_nothing_is_learned() -> None:
    make_searches.search()
    assert learned() == {}


def test_a_test_that_is_mostly_wrong_lowers_its_rate_and_one_does_little() -> None:
    built_in = assumed_now().tests.listen_sensitivity
    searched(WRONG)
    little = learned()["listen_sensitivity"].learned
    for _ in range(12):
        searched(WRONG)
    much = learned()["listen_sensitivity"]
    assert built_in - 0.05 < little < built_in
    assert much.learned < little - 0.1
    assert much.evidence == 13


def test_what_was_voided_teaches_nothing() -> None:
    search = searched(WRONG)
    search.readings.update(voided_at=make.NOW, why_voided="wrong wire")
    assert "listen_sensitivity" not in learned()


def test_slow_boxes_raise_their_minutes() -> None:
    check = {"kind": "check", "check": "output", "is_right": True}
    box = {"kind": "box", "controller_bad": False, "valve_bad": True}
    for _ in range(10):
        searched(check, box, box_minutes=45)
    assert learned()["open_box_min"].learned > 15


def test_a_search_given_up_teaches_nothing_of_tests() -> None:
    search = searched(WRONG)
    Search.objects.filter(pk=search.pk).update(outcome="given up", found=None)
    assert "listen_sensitivity" not in learned()


def test_nothing_counts_before_somebody_takes_it() -> None:
    before = assumed_now()
    for _ in range(5):
        searched(WRONG)
    learned()
    assert assumed_now() == before


def test_faults_on_legs_teach_how_often_a_wire_fails() -> None:
    way = make_searches.way(2000)
    way.fault.property.records_since = make.TODAY - timedelta(days=3652)
    way.fault.property.save()
    for _ in range(30):
        make.break_found(fault=make.fault(property=way.fault.property), leg=way.legs[0])
    taught = learned()["hazard_per_ft_year"]
    assert taught.learned > assumed_now().tests.hazard_per_ft_year
    assert taught.evidence == 30
