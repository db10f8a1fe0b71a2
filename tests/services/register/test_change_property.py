"""Facts without days: a property's, a controller's and a station's own."""

from datetime import date
from typing import Any

import pytest

from sites.kernel.services.verb_days import UnableToUseDay
from sites.register.services.property_facts import (
    UnableToChangeController,
    UnableToChangeProperty,
    UnableToChangeStation,
    change_client,
    change_controller,
    change_property,
    change_station,
    set_warranty,
)
from tests import make
from tests.services.stopgaps.given import DAY, TODAY, history

pytestmark = pytest.mark.django_db


def test_an_address_changes_and_changes_back() -> None:
    place = make.place(address="1 Long Walk")
    for address in ("2 Long Walk", "1 Long Walk"):
        change_property(place=place, values={"address": address}, today=TODAY)
    assert [row.address for row in place.history.order_by("history_id")] == [
        "1 Long Walk",
        "2 Long Walk",
        "1 Long Walk",
    ]


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"time_zone": "Nowhere/Land"}, "time_zone"),
        ({"season_start": "03-15", "season_end": ""}, "season_end"),
        ({"season_start": "13-15", "season_end": "10-01"}, "season_start"),
    ],
)
def test_a_property_refuses_what_cannot_be(values: dict[str, Any], field: str) -> None:
    with pytest.raises(UnableToChangeProperty) as refusal:
        change_property(place=make.place(), values=values, today=TODAY)
    assert refusal.value.field == field


def test_records_do_not_begin_on_a_day_to_come() -> None:
    with pytest.raises(UnableToUseDay):
        change_property(place=make.place(), values={"records_since": date(2026, 1, 1)}, today=TODAY)


def test_a_warranty_is_set_and_set_again() -> None:
    place = make.place()
    set_warranty(place=place, days=365)
    with pytest.raises(UnableToChangeProperty):
        set_warranty(place=place, days=0)
    set_warranty(place=place, days=None)
    assert [row.warranty_days for row in place.history.order_by("history_id")] == [None, 365, None]


def test_another_client_pays_and_the_first_one_again() -> None:
    first = make.client(name="First")
    place = make.place(client=first)
    change_client(place=place, name="  Second   Estate ", why="sold")
    assert (place.client.name, history(place)[-1]) == ("Second Estate", ("~", "sold"))
    change_client(place=place, name="first", why="not sold")
    assert place.client == first


def test_the_client_that_pays_already_is_refused() -> None:
    place = make.place(client=make.client(name="First"))
    with pytest.raises(UnableToChangeProperty, match="pays already"):
        change_client(place=place, name="FIRST", why="")
    with pytest.raises(UnableToChangeProperty, match="who pays"):
        change_client(place=place, name=" ", why="")


def test_a_controller_keeps_a_name_of_its_own() -> None:
    clock = make.controller(name="A")
    make.controller(property=clock.property, name="B")
    with pytest.raises(UnableToChangeController, match="that name"):
        change_controller(controller=clock, values={"name": "b"})
    change_controller(controller=clock, values={"name": "C", "output_volts": 26.0})
    assert history(clock) == [("+", ""), ("~", "")]


def test_a_station_depends_on_a_master_valve_of_its_property() -> None:
    station = make.station()
    master = make.station(controller=station.controller, kind="master valve")
    change_station(station=station, values={"depends_on": master, "coil_ohms": 24.0})
    change_station(station=station, values={"depends_on": None})
    assert [row.depends_on_id for row in station.history.order_by("history_id")] == [
        None,
        master.pk,
        None,
    ]


def test_a_station_depends_on_no_plain_valve_and_no_stranger() -> None:
    station = make.station()
    valve = make.station(controller=station.controller)
    with pytest.raises(UnableToChangeStation, match="plain valve"):
        change_station(station=station, values={"depends_on": valve})
    with pytest.raises(UnableToChangeStation, match="own property"):
        change_station(station=station, values={"depends_on": make.station(kind="pump start")})


def test_dependence_goes_in_no_circle() -> None:
    clock = make.controller()
    pump = make.station(controller=clock, kind="pump start")
    master = make.station(controller=clock, kind="master valve", depends_on=pump)
    third = make.station(controller=clock, kind="master valve", depends_on=master)
    with pytest.raises(UnableToChangeStation, match="circle"):
        change_station(station=pump, values={"depends_on": third, "kind": "pump start"})
    with pytest.raises(UnableToChangeStation, match="circle"):
        change_station(station=pump, values={"depends_on": pump, "kind": "pump start"})


def test_a_master_valve_stays_one_while_others_depend_on_it() -> None:
    master = make.station(kind="master valve")
    lower = make.station(controller=master.controller, depends_on=master)
    with pytest.raises(UnableToChangeStation, match="depend on it"):
        change_station(station=master, values={"kind": "valve"})
    lower.retired_on = DAY
    lower.save()
    change_station(station=master, values={"kind": "valve"})
