"""Days off central are days at the property, not the viewer's."""

import csv
import io
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.utils import timezone

from faults.locating.services.ending import end_search
from sites.kernel.engines.roles import Role
from sites.models import Leg, Property, Station, User
from sites.stopgaps.services.spells import rebuild_spells
from tests import make, make_searches
from tests.web.pages import open_page, send, signed_in

pytestmark = pytest.mark.django_db

EVERYWHERE = ["Pacific/Auckland", "UTC", "America/Los_Angeles"]
# In Los Angeles it is still 14 June, in Auckland already 16 June.
NOON_OF_GREENWICH = datetime(2025, 6, 15, 12, 30, tzinfo=UTC)
LOS_ANGELES_STILL_14 = datetime(2025, 6, 15, 6, 30, tzinfo=UTC)
FITTED = date(2025, 6, 4)


def off_in(zone: str, *, on: date = FITTED) -> Station:
    """Make a station that is off central, and its fault, since a day in this zone."""
    station = make.station(controller=make.controller(property=make.place(time_zone=zone)))
    make.stopgap(station=station, on=on)
    make.fault(station, reported_on=on)
    rebuild_spells([station.pk])
    return station


def los_angeles() -> Property:
    """Make a property in Los Angeles whose records began long ago."""
    return make.place(time_zone="America/Los_Angeles", records_since=date(2015, 1, 1))


def viewer(zone: str, role: Role = Role.WATER_MANAGER, **given: Any) -> User:
    """Make a user who lives in this zone."""
    return make.user(role, time_zone=zone, **given)


def file_of(user: User, url: str) -> list[dict[str, str]]:
    """Return the rows of a list's file by their headings."""
    answer: Any = signed_in(user).get(url)
    text = b"".join(answer.streaming_content).decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text)))


def seen_by(user: User, station: Station) -> dict[str, str]:
    """Return how many days each place says that the only station has been off."""
    place = station.controller.property
    home = open_page(user, "/")
    (lead,) = (each.words for each in home.tree.find("p") if "lead" in each.classes)
    (moved,) = file_of(user, "/moves/?export=csv")
    return {
        "home": home.rows("list-title")[0][6],
        "its lead": lead.rpartition(", ")[2],
        "its file": file_of(user, "/?export=csv")[0]["Days"],
        "property": open_page(user, f"/properties/{place.ref}/").rows("off")[0][5],
        "station": open_page(user, f"/stations/{station.ref}/").rows("spells")[0][2],
        "moves": open_page(user, "/moves/").rows()[0][4],
        "moves' file": moved["Days"],
    }


@pytest.mark.parametrize("zone", EVERYWHERE)
@pytest.mark.parametrize(
    ("of_the_property", "days"),
    [("Pacific/Auckland", "11"), ("UTC", "11"), ("America/Los_Angeles", "10")],
)
def test_the_days_are_those_of_the_property_for_every_viewer(
    zone: str, of_the_property: str, days: str
) -> None:
    with time_machine.travel(LOS_ANGELES_STILL_14, tick=False):
        station = off_in(of_the_property)
        seen = seen_by(viewer(zone), station)
    assert seen == dict.fromkeys(seen, days) | {"its lead": f"{days} days."}


@pytest.mark.parametrize("zone", EVERYWHERE)
def test_each_row_of_one_list_has_the_day_of_its_own_property(zone: str) -> None:
    with time_machine.travel(NOON_OF_GREENWICH, tick=False):
        for each in ("Pacific/Auckland", "UTC"):
            off_in(each)
        user = viewer(zone)
        rows = {row["Property"]: row["Days"] for row in file_of(user, "/?export=csv")}
        shown = {row[2]: row[6] for row in open_page(user, "/").rows("list-title")}
    assert sorted(rows.values()) == ["11", "12"]
    assert shown == rows


@pytest.mark.parametrize("zone", EVERYWHERE)
def test_the_most_days_come_first_although_two_zones_are_a_day_apart(zone: str) -> None:
    with time_machine.travel(NOON_OF_GREENWICH, tick=False):
        off_in("UTC", on=date(2025, 6, 4))
        off_in("Pacific/Auckland", on=date(2025, 6, 4))
        off_in("UTC", on=date(2025, 6, 5))
        user = viewer(zone)
        days = [
            [row[6] for row in open_page(user, f"/?sort={sort}").rows("list-title")]
            for sort in ("-days", "days")
        ]
    assert days == [["12", "11", "10"], ["10", "11", "12"]]


@pytest.mark.parametrize("zone", EVERYWHERE)
def test_the_clients_own_page_has_the_same_days(zone: str) -> None:
    with time_machine.travel(LOS_ANGELES_STILL_14, tick=False):
        station = off_in("America/Los_Angeles")
        owner = viewer(zone, Role.CLIENT, client=station.controller.property.client)
        page = open_page(owner, "/mine/")
    assert "(10 days)" in page.words


@pytest.mark.parametrize("zone", EVERYWHERE)
@pytest.mark.parametrize(
    "at",
    [datetime(2025, 6, 15, 6, 59, 59, tzinfo=UTC), datetime(2025, 6, 15, 7, 0, tzinfo=UTC)],
    ids=["the second before midnight", "midnight"],
)
def test_a_day_more_begins_at_the_propertys_midnight(zone: str, at: datetime) -> None:
    with time_machine.travel(at, tick=False):
        off_in("America/Los_Angeles")
        days = open_page(viewer(zone), "/").rows("list-title")[0][6]
    assert days == ("10" if at.hour == 6 else "11")


@pytest.mark.parametrize("zone", EVERYWHERE)
def test_a_reading_is_taken_on_the_propertys_day(zone: str) -> None:
    with time_machine.travel(LOS_ANGELES_STILL_14, tick=False):
        station = off_in("America/Los_Angeles")
        user = viewer(zone, Role.TECHNICIAN)
        page = open_page(user, f"/stations/{station.ref}/readings/add/")
    assert page.value("taken_on") == "2025-06-14"


@pytest.mark.parametrize("zone", EVERYWHERE)
@pytest.mark.parametrize(("day", "is_refused"), [("2025-06-14", False), ("2025-06-15", True)])
def test_a_link_is_lost_on_a_day_that_has_begun_at_the_property(
    zone: str, day: str, is_refused: bool
) -> None:
    place = make.place(time_zone="America/Los_Angeles")
    fields = {"name": "A", "stations": 1, "wiring": "two-wire path", "central": "link lost"}
    with time_machine.travel(LOS_ANGELES_STILL_14, tick=False):
        page = send(viewer(zone), f"/properties/{place.ref}/controllers/add/", **fields, since=day)
    assert ("This day is still to come." in page.errors) is is_refused
    assert place.controllers.exists() is not is_refused


def test_what_a_search_knew_at_its_end_is_the_same_for_every_user() -> None:
    # A leg that is watched since that very day: whether it is one day old shows in its weight.
    knew = []
    for zone in EVERYWHERE:
        way = make_searches.way(200, 300, controller=make.controller(property=los_angeles()))
        first = Leg.objects.filter(property=way.fault.property).order_by("pk").first()
        Leg.objects.filter(pk=first and first.pk).update(observed_from=date(2025, 6, 1))
        begun = LOS_ANGELES_STILL_14 - timedelta(hours=1)
        search = make_searches.search(
            fault=way.fault, station=way.station, wire=way.wire, started_at=begun
        )
        with timezone.override(zone):
            ended = end_search(search, outcome="given up", at=LOS_ANGELES_STILL_14)
        knew.append([leg["years"] for leg in ended.line["legs"]])
    assert knew[0] == knew[1] == knew[2]
