"""Central's own list beside the register: what is read, what differs, who sees it."""

import pytest

from sites.kernel.engines.roles import Role
from sites.load.services.files import RegisterFile
from sites.models import Central, CentralList, ListedStation
from sites.reconcile.services.differences import compare
from sites.reconcile.services.lists import UnableToTakeList, lists_for, take_list
from tests import make
from tests.services.reconcile.office import (
    AGREED,
    HERE,
    OFF,
    ON,
    THERE,
    Office,
    make_office,
    without,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(db: None) -> Office:
    """The office."""
    return make_office()


def test_a_list_that_agrees_shows_nothing(office: Office) -> None:
    assert office.differences(office.take(*AGREED)) == {}


@pytest.mark.parametrize(
    ("rows", "expected"),
    [
        (without(1, "Fern Row,A,1,yes"), {"A:1": ON}),
        (without(2, "Fern Row,A,2,no"), {"A:2": OFF}),
        ([*AGREED, "Fern Row,A,9,yes"], {"A:9": HERE}),
        ([*AGREED, "Fern Row,Z,1,yes"], {"Z:1": HERE}),
        (without(3), {"A:3": THERE}),
        (without(1, "Fern Row,A,1,"), {}),
    ],
)
def test_each_kind_of_difference(office: Office, rows: list[str], expected: dict[str, str]) -> None:
    assert office.differences(office.take(*rows)) == expected


def test_capitals_and_spaces_in_names_make_no_difference(office: Office) -> None:
    assert office.differences(office.take("fern  row,a,1,no", *AGREED[1:])) == {}


def test_the_full_name_of_a_property_will_do(office: Office) -> None:
    rows = [row.replace("Fern Row", "Fern Row gardens") for row in AGREED]
    assert office.differences(office.take(*rows)) == {}


@pytest.mark.parametrize(
    "heading",
    [
        "Site,Clock,Zone,Active",
        "property,Controller Name,Station #,On",
        "community,ctrl,stn,enabled",
    ],
)
def test_headings_may_be_called_as_people_call_them(office: Office, heading: str) -> None:
    assert office.differences(office.take(*AGREED, heading=heading)) == {}


@pytest.mark.parametrize("word", ["yes", "1", "TRUE", "active", "on", "x", "Enabled"])
def test_enabled_may_be_said_in_several_words(office: Office, word: str) -> None:
    assert office.differences(office.take(*without(1, f"Fern Row,A,1,{word}"))) == {"A:1": ON}


def test_without_a_column_of_properties_the_chosen_one_holds(office: Office) -> None:
    rows = [row.removeprefix("Fern Row,") for row in AGREED]
    central = office.take(*rows, heading="controller,station,enabled", place=office.place)
    assert office.differences(central) == {}


def test_without_it_a_controller_that_only_one_property_has_tells_it(office: Office) -> None:
    rows = [row.removeprefix("Fern Row,") for row in AGREED]
    assert office.differences(office.take(*rows, heading="controller,station,enabled")) == {}


def test_a_controller_name_that_two_properties_have_has_to_be_settled(office: Office) -> None:
    make.controller(property=make.place(code="Other"), name="A")
    with pytest.raises(UnableToTakeList) as refusal:
        office.take("A,1,no", heading="controller,station,enabled")
    assert "Which property" in refusal.value.problems[0].text


def test_a_list_of_one_property_leaves_rows_of_others_alone(office: Office) -> None:
    central = office.take(*AGREED, "Elsewhere,B,1,yes", place=office.place)
    assert ListedStation.objects.filter(list=central).count() == 3


def test_properties_that_nobody_knows_are_told_and_left_alone(office: Office) -> None:
    compared = compare(office.take(*AGREED, "Elsewhere,B,1,yes"), office.user)
    assert (compared.foreign, compared.open) == ({"Elsewhere": 1}, [])


def test_properties_that_the_list_does_not_name_are_not_compared(office: Office) -> None:
    make.station(controller=make.controller(property=make.place(code="Other"), name="B"))
    assert office.differences(office.take(*AGREED)) == {}


def test_a_controller_that_is_not_meant_to_be_linked_makes_no_difference(office: Office) -> None:
    office.clock.central = Central.NOT_MEANT
    office.clock.save()
    assert office.differences(office.take("Fern Row,A,1,yes")) == {}


def test_disabled_there_and_without_a_link_here_is_off_on_both_sides(office: Office) -> None:
    office.clock.central = Central.LINK_LOST
    office.clock.save()
    assert office.differences(office.take(*without(2, "Fern Row,A,2,no"))) == {}


def test_a_surface_wire_counts_as_on(office: Office) -> None:
    make.stopgap(station=office.stations[2], kind="surface wire")
    assert office.differences(office.take(*AGREED)) == {}


def test_retired_stations_are_neither_expected_nor_known(office: Office) -> None:
    office.stations[3].retired_on = make.TODAY
    office.stations[3].save()
    assert office.differences(office.take(*AGREED)) == {"A:3": HERE}


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        (["Fern Row,A,one,yes"], "Expected a whole number"),
        (["Fern Row,A,1,perhaps"], "Expected yes or no"),
        (["Fern Row,,1,yes"], "may not be empty"),
        (["Fern Row,A,1,yes", "Fern Row,A,1,no"], "An earlier row says otherwise"),
    ],
)
def test_a_row_that_cannot_be_read_stops_the_whole_list(
    office: Office, rows: list[str], words: str
) -> None:
    with pytest.raises(UnableToTakeList) as refusal:
        office.take(*rows)
    assert words in refusal.value.problems[0].text
    assert not CentralList.objects.exists()


def test_the_same_row_twice_is_one(office: Office) -> None:
    assert office.differences(office.take(*AGREED, AGREED[0])) == {}


@pytest.mark.parametrize("content", [b"", b"%PDF-1.4", b"name,town\na,b\n", b"\x00\x01\x02"])
def test_a_file_that_is_no_list_is_refused_in_words(office: Office, content: bytes) -> None:
    with pytest.raises(UnableToTakeList):
        take_list(
            files=[RegisterFile("x.csv", content)],
            place=None,
            by=office.user,
            at=make.NOW,
            today=make.TODAY,
        )


def test_lists_of_other_properties_are_not_seen(office: Office) -> None:
    central = office.take(*AGREED, place=office.place)
    over_all = office.take(*AGREED)
    elsewhere = make.user(Role.DISPATCHER, property=make.place())
    here = make.user(Role.DISPATCHER, property=office.place)
    assert list(lists_for(elsewhere)) == []
    assert set(lists_for(here)) == {central, over_all}
    assert set(lists_for(office.user)) == {central, over_all}


def test_somebody_of_one_property_compares_only_that(office: Office) -> None:
    other = make.controller(property=make.place(code="Other"), name="B")
    make.station(controller=other, number=1)
    here = make.user(Role.DISPATCHER, property=office.place)
    central = Office(here, office.place, office.clock, {}, office.stopgap).take(
        *AGREED, "Other,B,1,no"
    )
    compared = compare(central, here)
    assert (compared.open, compared.foreign) == ([], {"Other": 1})
