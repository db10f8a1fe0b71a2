"""Pages ask the database as often for thirty rows as for three: 12 times at most for a list, 25
for a page that combines."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pytest_django import DjangoDbBlocker

from faults.models import Fault, StageMove
from reports.summaries.services.summaries import keep_summaries
from sites.kernel.engines.roles import Role
from sites.models import Contact, Leg, Property, Schedule, Station, StationFacts, User
from sites.stopgaps.services.spells import rebuild_spells
from tests import make, make_searches
from tests.databases import rows_for_a_module
from tests.web.pages import open_page, signed_in

pytestmark = pytest.mark.django_db

# Every page: session, user and the user's grants. A list: how many rows, the keys of a page, its
# rows, whether the register is empty, and the views that the user keeps.
LISTS = {
    "/properties/": 9,  # client and both totals come with the rows; their sums
    "/controllers/": 9,  # property and both totals come with the rows; their sums
    "/stations/": 8,  # property, facts and the reason come with the rows
    "/stopgaps/": 8,  # station, property and device come with the rows
    "/water/missing/": 9,  # station, property and meter come with the rows; what was never written
    "/faults/": 8,  # property, stations and first cause come with the rows
    "/searches/": 9,  # station, property and tests come with the rows; promises kept
}
COMBINED = {
    # The properties in view and what is kept of them; the keys of a page, its rows; the oldest;
    # parts begun and ended by month; worst properties and their stations; the views that the user
    # keeps; the zones of properties, for the last day of the trend; for who sees prices the
    # properties that a forecast is made of, that forecast, and the goals that stand.
    "/": 19,
    # The property; reasons; how many controllers, a page of them, their stations; stations,
    # those outside, spares, legs; contacts, tariff, history; what is off; open faults and jobs;
    # what is due.
    "/properties/{place}/": 21,
    # The property, its legs, breaks by leg, points; stations and how they are controlled; the
    # wires in each leg and the spares left; the plan picture; what is not placed.
    "/properties/{place}/plan/": 13,
    # The station, how it is controlled; spells, parts; facts, schedule, stopgaps, faults,
    # readings, and what they should be: the wire that serves it, the common's size; history and
    # what its keys are called; wire, controller's point, legs, breaks, what wires do at points.
    "/stations/{station}/": 24,
    # The properties in view and what is kept of them; the keys of a page, its rows; the views.
    "/water/": 9,
    # The property, its months, its meters, whether sums may be seen, the sums, what was taken for
    # granted.
    "/properties/{place}/water/": 10,
    # The station, its months, spells; facts, neighbours; tariff, devices, their changes; outages,
    # valves stuck open.
    "/stations/{station}/water/": 15,
    # The fault, its stations, breaks, their wires, moves, history; who is assigned, said yes and
    # proved; photos; mends under warranty nearby; what its stations wait on; notices; open jobs;
    # lines, quotes.
    "/faults/{fault}/": 26,
    # The fault and its station; the search, its tests; numbers; the wire, the controller's point,
    # legs, their renewals, breaks, searches given up, what the wire does at points; stations that
    # run or not: of this fault, of others, off central, all, the legs they share; spares; what
    # was allowed, what was mended.
    "/faults/{fault}/search/{station}/": 25,
    # The properties in view, what is kept of them, names of the legs shown; the views kept.
    "/hotspots/": 7,
    # The same; the plan, its legs and the picture; where neighbours meet.
    "/hotspots/?place={place}": 10,
    "/hotspots/cause/?cause=shovel": 11,
    # The leg, its property and ends; all that is in view, all of the property; its first fault.
    "/hotspots/legs/{leg}/": 18,
    # The leg; what is kept of all in view; what work and faults cost there.
    "/hotspots/legs/{leg}/worth/": 15,
}


def ground(place: Property, count: int) -> list[Leg]:
    """Make a trunk of this many legs from a controller to a valve."""
    points = [make.point(property=place, kind="controller")]
    points += [make.point(property=place, kind="valve box") for _ in range(count)]
    return [
        make.leg(property=place, from_point=start, to_point=end) for start, end in pairwise(points)
    ]


def wired(station: Station, legs: list[Leg]) -> None:
    """Lay a wire to the station through all legs, and find a break on each."""
    wire = make.wire(property=station.controller.property)
    wire.feeds.create(station=station)
    for leg in legs:
        wire.lies.create(leg=leg)
    station.valve_point = legs[-1].to_point
    station.save()


def faulty(stations: list[Station], legs: list[Leg]) -> Fault:
    """Make one fault of all stations, each moved, with a break and two wires on each leg."""
    fault = make.fault(*stations)
    for station in fault.stations.all():
        StageMove.objects.create(
            fault_station=station, to_stage="reported", on=make.TODAY, moved_at=make.NOW
        )
    for number, leg in enumerate(legs, start=1):
        found = fault.breaks.create(leg=leg, running_number=number, feet_along=5)
        found.wires.add(*(make.wire(property=leg.property) for _ in range(2)))
    return fault


def register(count: int) -> tuple[Property, Station, Fault]:
    """Make this many of everything on one property, and as many properties."""
    place = make.place()
    for _ in range(count):
        make.controller(property=make.place())
        Contact.objects.create(property=place, name=f"{count} {Contact.objects.count()}")
    clocks = [make.controller(property=place) for _ in range(count)]
    stations = [make.station(controller=clock) for clock in clocks]
    for station in stations:
        make.stopgap(station=station, device=make.device(property=place))
        StationFacts.objects.create(station=station, area_sqft=100)
        make.fault(station, key=f"K{station.pk}")
    first = stations[0]
    for year in range(count):
        day = date(2000 + year // 2, 1 + year % 2, 1)
        make.stopgap(station=first, on=day, removed_on=day.replace(day=9))
        Schedule.objects.create(station=first, from_on=day, minutes=10)
        make.fault(first)
        make.reading(station=first, point=make.point(property=place))
    legs = ground(place, count)
    wired(first, legs)
    for _ in range(count):
        make_searches.finished(fault=make.fault(first), station=first)
    make.fault(first, stage="given up")
    rebuild_spells(station.pk for station in stations)
    fault = faulty(stations, legs)
    search = make_searches.search(fault=fault, station=first)
    for _ in range(count):
        make_searches.search_reading(search=search)
    # As the task after each verb does.
    keep_summaries(at=make.NOW, go_on=lambda: None)
    return place, first, fault


def asked_by(user: User, url: str) -> int:
    """Return how often the page asks the database."""
    browser = signed_in(user)
    with CaptureQueriesContext(connection) as asked:
        answer = browser.get(url)
    assert answer.status_code == 200, url
    return len(asked)


@dataclass(frozen=True)
class Asked:
    """How often each page asks: with three rows of everything, and with thirty more."""

    few: dict[str, int]
    many: dict[str, int]
    # The lists with three rows, by a user who is limited to one client.
    limited: dict[str, int]


@pytest.fixture(scope="module")
def asked(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, collected_static: None
) -> Iterator[Asked]:
    """All counts at once: making thirty of everything costs more than opening all pages."""
    with rows_for_a_module(django_db_blocker):
        manager = make.user(Role.WATER_MANAGER)
        three = register(3)
        few = {page: asked_by(manager, url_of(page, *three)) for page in (*LISTS, *COMBINED)}
        limited_user = make.user(Role.TRACER, client=three[0].client)
        limited = {page: asked_by(limited_user, page) for page in ("/", *LISTS)}
        thirty = register(30)
        many = {page: asked_by(manager, url_of(page, *thirty)) for page in (*LISTS, *COMBINED)}
        yield Asked(few, many, limited)


@pytest.mark.parametrize(("url", "expected"), LISTS.items())
def test_a_list_asks_as_often_for_thirty_rows_as_for_three(
    asked: Asked, url: str, expected: int
) -> None:
    assert expected <= 12
    assert (asked.few[url], asked.many[url]) == (expected, expected)


@pytest.mark.parametrize(("page", "expected"), COMBINED.items())
def test_a_page_that_combines_asks_as_often_for_thirty_rows_as_for_three(
    asked: Asked, page: str, expected: int
) -> None:
    assert expected <= 26
    assert (asked.few[page], asked.many[page]) == (expected, expected)


def url_of(page: str, place: Property, station: Station, fault: Fault) -> str:
    """Return the address of a page about one of these."""
    leg = Leg.objects.filter(property=place).order_by("pk").first()
    assert leg is not None
    return page.format(place=place.ref, station=station.ref, fault=fault.ref, leg=leg.ref)


@pytest.mark.parametrize("url", ["/", *LISTS])
def test_whoever_is_limited_to_one_client_costs_no_query_more(asked: Asked, url: str) -> None:
    assert asked.limited[url] <= asked.few[url]


def test_the_register_of_these_tests_is_on_the_pages(manager: User) -> None:
    place, station, fault = register(30)
    for page, part, rows in (
        (f"/properties/{place.ref}/", "off", 30),
        (f"/stations/{station.ref}/", "spells", 20),
        (f"/stations/{station.ref}/", "strip", 60),
        (f"/faults/{fault.ref}/", "stations", 30),
    ):
        assert len(open_page(manager, page).rows(part)) == rows, page
