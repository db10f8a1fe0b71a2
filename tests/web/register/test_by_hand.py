"""A register begun by hand: the first property, its controllers and their stations."""

from datetime import date, timedelta

import pytest

from sites.kernel.engines.roles import Role
from sites.models import Client, Controller, Property, SpellPart, User
from tests import make
from tests.web.pages import Sheet, open_page, send

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

FERN = {
    "code": "Fern Row",
    "client_name": "Fern Trust",
    "address": "1 Long Walk",
    "time_zone": "America/Phoenix",
    "units": "US",
}
CLOCK = {"name": "A", "stations": 3, "wiring": "one wire per station", "central": "linked"}


def add_property(user: User, **changed: str) -> Sheet:
    """Send the form for a new property."""
    return send(user, "/properties/add/", **{**FERN, **changed})


def add_controller(user: User, place: Property, **changed: str | int) -> Sheet:
    """Send the form for a new controller."""
    return send(user, f"/properties/{place.ref}/controllers/add/", **{**CLOCK, **changed})


FERN_KEPT = ("Fern Row", "Fern Trust", "America/Phoenix")


def test_a_property_and_its_client_are_kept_and_its_controllers_asked_for(manager: User) -> None:
    sheet = add_property(manager)
    place = Property.objects.get()
    assert (place.code, place.client.name, place.time_zone) == FERN_KEPT
    assert sheet.heading == "Add a controller to Fern Row"
    assert sheet.messages == ["Fern Row is registered. Add its controllers next."]


@pytest.mark.parametrize("name", ["Fern Trust", "fern  TRUST ", " Fern Trust"])
def test_a_known_client_is_not_made_twice(manager: User, name: str) -> None:
    make.client(name="Fern Trust")
    add_property(manager, client_name=name)
    assert Client.objects.get() == Property.objects.get().client


def test_the_form_starts_in_the_users_own_time_zone() -> None:
    owner = make.user(Role.OWNER, time_zone="America/Denver")
    assert open_page(owner, "/properties/add/").value("time_zone") == "America/Denver"


def test_a_code_that_is_taken_is_refused_and_all_that_was_typed_stays(manager: User) -> None:
    make.place(code="Fern Row")
    sheet = add_property(manager, records_since="2024-02-30")
    assert sheet.status == 422
    assert sheet.errors == [
        "A property of that name is registered already.",
        "Enter a valid date.",
    ]
    assert [sheet.value(name) for name in ("client_name", "address", "time_zone")] == [
        "Fern Trust", "1 Long Walk", "America/Phoenix",
    ]  # fmt: skip
    assert sheet.value("records_since") == "2024-02-30"


def test_an_empty_form_names_what_is_missing_and_writes_nothing(manager: User) -> None:
    sheet = add_property(manager, code="", client_name="  ")
    assert (sheet.status, sheet.errors) == (422, ["This field is required."] * 2)
    assert not Client.objects.exists()


def test_each_error_stands_with_its_field_for_those_who_cannot_see(manager: User) -> None:
    sheet = add_property(manager, code="")
    (field,) = sheet.tree.find("input", name="code")
    assert field.attributes["aria-invalid"] == "true"
    assert sheet.tree.find("ul", id="id_code_error")
    assert field.attributes["aria-describedby"] == "id_code_error"


def test_a_controller_is_kept_with_stations_numbered_from_one(manager: User) -> None:
    place = make.place()
    sheet = add_controller(manager, place)
    clock = Controller.objects.get()
    assert sorted(clock.stations.values_list("number", flat=True)) == [1, 2, 3]
    assert sheet.messages == ["Controller A is registered."]
    assert sheet.heading == place.code


def test_a_controller_may_come_without_stations(manager: User) -> None:
    add_controller(manager, make.place(), stations=0)
    assert not Controller.objects.get().stations.exists()


def test_a_lost_link_takes_its_stations_off_central_since_that_day(manager: User) -> None:
    add_controller(manager, make.place(), central="link lost", since="2025-06-05")
    parts = SpellPart.objects.values_list("reason", "from_on", "to_on")
    assert list(parts) == [("link lost", date(2025, 6, 5), None)] * 3
    assert open_page(manager, "/").heading == "3 of 3 stations are off central control"


def test_stations_not_meant_to_be_linked_are_counted_nowhere(manager: User) -> None:
    add_controller(manager, make.place(), central="not meant to be linked")
    assert not SpellPart.objects.exists()
    assert "No station is meant to be under central control." in open_page(manager, "/").words


def test_a_lost_link_needs_its_first_day(manager: User) -> None:
    sheet = add_controller(manager, make.place(), central="link lost")
    assert (sheet.status, sheet.errors) == (422, ["Enter the first day without the link."])
    assert (sheet.value("name"), sheet.value("central")) == ("A", "link lost")
    assert not Controller.objects.exists()


def test_a_day_that_is_still_to_come_is_refused(manager: User) -> None:
    tomorrow = (make.TODAY + timedelta(days=1)).isoformat()
    sheet = add_controller(manager, make.place(), central="link lost", since=tomorrow)
    assert (sheet.status, sheet.errors) == (422, ["This day is still to come."])
    assert not SpellPart.objects.exists()


def test_a_name_is_used_once_per_property(manager: User) -> None:
    clock = make.controller(name="A")
    sheet = add_controller(manager, clock.property)
    assert sheet.status == 422
    assert sheet.errors == ["This property has a controller of that name already."]
    assert add_controller(manager, make.place()).status == 200


@pytest.mark.parametrize("stations", [-1, 401, "many"])
def test_a_number_of_stations_that_no_controller_has_is_refused(
    manager: User, stations: int | str
) -> None:
    sheet = add_controller(manager, make.place(), stations=stations)
    assert sheet.status == 422
    assert sheet.value("stations") == str(stations)
    assert not Controller.objects.exists()


@pytest.mark.parametrize("role", [Role.OWNER, Role.WATER_MANAGER, Role.DISPATCHER])
def test_the_office_may_begin_a_register(role: Role) -> None:
    assert add_property(make.user(role)).status == 200
    assert Property.objects.exists()


def test_a_technician_may_not(manager: User) -> None:
    technician = make.user(Role.TECHNICIAN)
    assert add_property(technician).status == 403
    assert add_controller(technician, make.place()).status == 403
    assert not Controller.objects.exists()


def test_a_dispatcher_of_one_client_adds_controllers_there_and_no_property() -> None:
    place, elsewhere = make.place(), make.place()
    dispatcher = make.user(Role.DISPATCHER, client=place.client)
    assert add_property(dispatcher).status == 403
    assert add_controller(dispatcher, elsewhere).status == 404
    assert add_controller(dispatcher, place).status == 200
    assert Controller.objects.get().property == place


def test_who_added_it_is_in_the_history(manager: User) -> None:
    add_property(manager)
    assert Property.objects.get().history.get().history_user == manager
