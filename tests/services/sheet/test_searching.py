"""A search that was made without signal comes up with its tests in their order."""

import pytest

from faults.models import Job, Search, SearchReading
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_jobs, make_searches
from tests.services.sheet.sending import answers, send, thing

pytestmark = pytest.mark.django_db


@pytest.fixture
def way() -> make_searches.Way:
    """A wire through three boxes."""
    return make_searches.way()


@pytest.fixture
def tessa() -> User:
    """A technician."""
    return make.user(Role.TECHNICIAN, username="tessa")


@pytest.fixture
def job(way: make_searches.Way, tessa: User) -> Job:
    """Her visit to the fault of that wire."""
    return make_jobs.job(fault=way.fault, crew=make_jobs.crew(tessa), day=make.TODAY)


def test_a_search_with_three_tests_of_which_one_was_wrong(
    job: Job, tessa: User, way: make_searches.Way
) -> None:
    begun = thing(job, "search", station=way.station.pk, tools=["clamp"], may_cut=True)
    key = begun["id"]
    box = {"kind": "box", "point": way.points[2].pk, "controller_bad": True, "valve_bad": False}
    heard = {"kind": "listened", "point": way.points[1].pk, "heard": True}
    place = {"search": key, "station": way.station.pk}
    tests = [
        thing(job, "search test", minute=n, said=said, **place)
        for n, said in enumerate([box, heard, box], 1)
    ]
    wrong = thing(job, "search void", minute=4, of=tests[1]["id"], station=way.station.pk)
    rows = send(tessa, begun, *tests, wrong)
    assert {row.kind: row.why for row in rows if row.answer != "accepted"} == {}
    search = Search.objects.get(key=key)
    assert (search.tools, search.job, search.may_cut) == (["clamp"], job, True)
    kept = SearchReading.objects.filter(search=search).order_by("taken_at")
    assert [str(one.key) for one in kept] == [each["id"] for each in tests]
    assert [one.voided_at is not None for one in kept] == [False, True, False]
    assert answers(send(tessa, begun, *tests, wrong)) == ["accepted"] * 5
    assert SearchReading.objects.count() == 3


def test_tests_join_the_search_that_somebody_else_began(
    job: Job, tessa: User, way: make_searches.Way
) -> None:
    going = make_searches.search(fault=way.fault, station=way.station)
    begun = thing(job, "search", station=way.station.pk)
    heard = {"kind": "listened", "point": way.points[1].pk, "heard": True}
    one = thing(
        job, "search test", minute=1, said=heard, search=begun["id"], station=way.station.pk
    )
    assert answers(send(tessa, begun, one)) == ["accepted", "accepted"]
    assert going.readings.count() == 1


def test_a_test_that_cannot_be_is_refused_with_what_to_look_at(
    job: Job, tessa: User, way: make_searches.Way
) -> None:
    begun = thing(job, "search", station=way.station.pk)
    place = {"search": begun["id"], "station": way.station.pk}
    rows = send(
        tessa,
        begun,
        thing(job, "search test", said={"kind": "box", "point": 0}, **place),
        thing(job, "search test", said="heard", **place),
    )
    assert answers(rows) == ["accepted", "refused", "refused"]


def test_a_search_that_is_given_up_says_why(job: Job, tessa: User, way: make_searches.Way) -> None:
    begun = thing(job, "search", station=way.station.pk)
    ended = thing(
        job, "search end", minute=5, search=begun["id"], station=way.station.pk, why="dark"
    )
    assert answers(send(tessa, begun, ended)) == ["accepted", "accepted"]
    assert Search.objects.get().why == "dark"
