"""A property's page: its stations by how they are controlled, what is off, faults, people."""

from datetime import date
from decimal import Decimal

import pytest

from sites.kernel.engines.roles import Role
from sites.models import Central, Contact, Property, Station, Tariff, User
from sites.stopgaps.services.spells import rebuild_spells
from tests import make
from tests.cast import Cast, Corner
from tests.web.fern_row import FernRow
from tests.web.pages import Sheet, open_page

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def opened(user: User, place: Property, query: str = "") -> Sheet:
    """Open the property's page as this user."""
    return open_page(user, f"/properties/{place.ref}/{query}")


def mark_of(sheet: Sheet, station: Station) -> tuple[str, str]:
    """Return the mark that the grid draws for a station, and the words beside it."""
    links = sheet.panels["grid"].find("a", href=f"/stations/{station.ref}/")
    (use,) = links[0].find("use")
    return use.attributes["href"], links[0].words


def test_says_how_many_are_off_and_how_many_are_not_meant_to_be_on(
    fern: FernRow, manager: User
) -> None:
    words = opened(manager, fern.property).words
    assert "5 of 7 stations are off central control. 1 more is not meant to be." in words


def test_says_when_none_is_off(manager: User) -> None:
    clock = make.controller()
    for _ in range(3):
        make.station(controller=clock)
    words = opened(manager, clock.property).words
    assert "None of its 3 stations is off central control." in words


@pytest.mark.parametrize(
    ("name", "mark", "words"),
    [
        ("A:3", "#mark-linked", "A:3 on central control"),
        ("A:1", "#mark-off", "A:1 off central control"),
        ("B:2", "#mark-off", "B:2 off central control"),
        ("C:1", "#mark-outside", "C:1 not meant to be under central control"),
    ],
)
def test_the_grid_marks_how_each_station_is_controlled(
    fern: FernRow, manager: User, name: str, mark: str, words: str
) -> None:
    assert mark_of(opened(manager, fern.property), fern[name]) == (mark, words)


def test_the_grid_marks_a_surface_wire_as_on_central_for_a_time(
    fern: FernRow, manager: User
) -> None:
    make.stopgap(station=fern["A:3"], kind="surface wire")
    told = mark_of(opened(manager, fern.property), fern["A:3"])
    assert told == ("#mark-temporary", "A:3 on central control, for a time")


def test_the_grid_marks_a_link_that_nobody_knows(manager: User) -> None:
    station = make.station(controller=make.controller(central=Central.NOT_KNOWN, name="K"))
    told = mark_of(opened(manager, station.controller.property), station)
    assert told == ("#mark-not-known", f"K:{station.number} link not known")


def test_each_mark_of_the_grid_is_drawn_and_explained(fern: FernRow, manager: User) -> None:
    sheet = opened(manager, fern.property)
    drawn = {f"#{symbol.attributes['id']}" for symbol in sheet.tree.find("symbol")}
    (legend,) = [each for each in sheet.tree.find("ul") if "legend" in each.classes]
    assert {use.attributes["href"] for use in legend.find("use")} == drawn
    assert {use.attributes["href"] for use in sheet.tree.find("use")} <= drawn


def test_retired_stations_and_controllers_leave_the_grid(fern: FernRow, manager: User) -> None:
    fern["A:3"].retired_on = fern["C:1"].controller.retired_on = date(2025, 6, 1)
    fern["A:3"].save()
    fern["C:1"].controller.save()
    grid = opened(manager, fern.property).panel("grid")
    assert "A:3" not in grid
    assert "Controller C" not in grid


def test_many_controllers_come_in_pages(manager: User) -> None:
    place = make.place()
    for number in range(30):
        make.controller(property=place, name=f"K{number:02}")
    assert "Controller K11" in opened(manager, place).panel("grid")
    assert "Controller K12" not in opened(manager, place).panel("grid")
    assert "Controllers 13–24 of 30" in opened(manager, place, "?controllers=2").panel("grid")


@pytest.mark.parametrize("query", ["?controllers=nonsense", "?controllers=99", "?controllers=-1"])
def test_a_page_of_controllers_that_does_not_exist_breaks_nothing(
    fern: FernRow, manager: User, query: str
) -> None:
    assert "Controller A" in opened(manager, fern.property, query).panel("grid")


def test_lists_what_is_off_longest_first(fern: FernRow, manager: User) -> None:
    names = opened(manager, fern.property).column(0, "off")
    assert names == ["A:7", "A:1", "A:2", "B:1", "B:2"]


def test_leads_to_the_whole_list_when_it_shows_only_a_part(manager: User) -> None:
    clock = make.controller(property=make.place(code="Long Row"))
    stations = [make.station(controller=clock) for _ in range(51)]
    for station in stations:
        make.stopgap(station=station)
    rebuild_spells(station.pk for station in stations)
    sheet = opened(manager, clock.property)
    assert len(sheet.rows("off")) == 50
    assert sheet.links["All of them"] == "/?q=Long%20Row#list"


def test_lists_open_faults_and_not_closed_ones(fern: FernRow, manager: User) -> None:
    make.fault(fern["A:2"], key="F-0", stage="returned", closed_on=date(2025, 5, 2))
    assert opened(manager, fern.property).rows("faults") == [
        ["F-1", "A:1", "reported", "2025-05-01"]
    ]


def test_an_empty_property_leads_to_its_first_controller(manager: User) -> None:
    place = make.place()
    sheet = opened(manager, place)
    assert "No stations yet." in sheet.words
    assert sheet.links["Add a controller"] == f"/properties/{place.ref}/controllers/add/"
    assert "plan" not in sheet.panels


def test_who_may_not_change_the_register_is_offered_nothing_to_add() -> None:
    sheet = opened(make.user(Role.TECHNICIAN), make.place())
    assert "No controller is registered here." in sheet.words
    assert "Add a controller" not in sheet.links


WHO_SEES_WHAT = [
    # person, contacts, rates, history
    ("owner", True, True, True),
    ("water_manager", True, True, True),
    ("dispatcher", True, True, True),
    ("technician", True, False, True),
    ("tracer", False, False, False),
    ("client_user", False, False, False),
]


@pytest.mark.parametrize(("person", "contacts", "rates", "history"), WHO_SEES_WHAT)
def test_people_rates_and_history_are_shown_to_the_roles_that_have_them(
    cast: Cast, ours: Corner, person: str, contacts: bool, rates: bool, history: bool
) -> None:
    Tariff.objects.create(property=ours.property, water_price=Decimal("6.40"), labour_rate=74)
    sheet = opened(getattr(cast, person), ours.property)
    assert ("marigold contact" in sheet.words) is contacts
    assert ("Labour rate" in sheet.facts()) is rates
    assert ("history" in sheet.panels) is history


def test_contacts_can_be_called_and_written_to(manager: User) -> None:
    place = make.place()
    Contact.objects.create(
        property=place, name="Pip", role="approves", phone="555-0101", email="pip@example.org"
    )
    sheet = opened(manager, place)
    assert sheet.facts()["approves"] == "Pip, 555-0101, pip@example.org"
    assert sheet.links["555-0101"] == "tel:555-0101"


def test_the_tariff_that_holds_now_is_shown_per_unit(manager: User) -> None:
    place = make.place()
    Tariff.objects.create(property=place, water_price=5, price_unit="kgal", to_on=date(2025, 1, 1))
    Tariff.objects.create(
        property=place, water_price=Decimal("6.40"), price_unit="kgal", from_on=date(2025, 1, 1)
    )
    assert opened(manager, place).facts()["Water price"] == "6.4 / kgal"


def test_spare_wires_are_counted_by_the_controller_that_they_end_at(
    fern: FernRow, manager: User
) -> None:
    clock = fern["A:1"].controller
    for retired_on in (None, None, date(2025, 1, 1)):
        spare = make.wire(property=fern.property, kind="spare", retired_on=retired_on)
        spare.terminations.create(controller=clock)
    make.wire(property=fern.property, kind="spare")
    assert opened(manager, fern.property).facts()["Spare wires"] == "A: 2, ?: 1"


def test_history_says_who_changed_what_from_which_to_which(manager: User) -> None:
    place = make.place(soil="loam")
    place.soil = "clay"
    place.save()
    (changed, added) = opened(manager, place).rows("history")
    assert (changed[2], added[2]) == ("changed soil: loam → clay", "added")
