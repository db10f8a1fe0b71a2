"""Off central: the first page says how many, why and since when."""

from datetime import date

import pytest

from sites.kernel.engines.roles import Role
from sites.kernel.services.verbs import as_one_change
from sites.models import Central, User
from sites.stopgaps.services.spells import rebuild_spells
from tests import make
from tests.web.fern_row import FernRow, make_fern_row
from tests.web.pages import fragment, open_page

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def names(manager: User, query: str) -> list[str]:
    """Return the stations that the list shows for a query, in order."""
    return open_page(manager, f"/?{query}").column(0, "list-title")


def test_says_how_many_of_how_many(fern: FernRow, manager: User) -> None:
    assert open_page(manager, "/").heading == "5 of 7 stations are off central control"


def test_speaks_of_one_station_in_the_singular(manager: User) -> None:
    rebuild_spells([make.stopgap().station_id])
    assert open_page(manager, "/").heading == "1 of 1 stations is off central control"


def test_names_the_longest_and_its_least_age(fern: FernRow, manager: User) -> None:
    sheet = open_page(manager, "/")
    days = (make.TODAY - date(2021, 12, 31)).days
    assert f"The longest: A:7 lawn A7, Fern Row, at least {days:,} days." in sheet.words
    assert sheet.links["A:7 lawn A7"] == f"/stations/{fern['A:7'].ref}/"


def test_the_reasons_add_up_to_the_total(fern: FernRow, manager: User) -> None:
    assert open_page(manager, "/").rows("why") == [
        ["wire", "2", "2021-12-31"],
        ["valve or solenoid", "1", "2025-03-01"],
        ["link lost", "2", "2025-06-05"],
        ["All", "5", "2021-12-31"],
    ]


def test_the_bar_is_filled_by_the_reasons_and_nothing_else(fern: FernRow, manager: User) -> None:
    pieces = open_page(manager, "/").response.context["reasons_bar"]
    assert [(piece.reason, piece.x) for piece in pieces] == [
        ("wire", 0),
        ("valve or solenoid", 400),
        ("link lost", 600),
    ]
    assert pieces[-1].x + pieces[-1].width == pytest.approx(1000, abs=2)


def test_each_row_says_where_why_since_when_and_what_is_being_done(
    fern: FernRow, manager: User
) -> None:
    rows = open_page(manager, "/").rows("list-title")
    assert rows[1] == [
        "A:1", "lawn A1", "Fern Row", "wire", "battery timer", "2025-01-01", "165",
        "not known climate, when it waters", "not known", "F-1 reported",
        "a visit to be scheduled since 2025-05-01", "ours",
    ]  # fmt: skip
    assert rows[3][3:] == [
        "link lost", "—", "2025-06-05", "10",
        "not known climate, when it waters", "not known", "none open",
        "the controller's link since 2025-06-05", "central's operator",
    ]  # fmt: skip


def test_a_stopgap_known_only_by_its_year_is_off_since_then_or_before(
    fern: FernRow, manager: User
) -> None:
    oldest = open_page(manager, "/").rows("list-title")[0]
    assert oldest[5:7] == ["2021-12-31 or before", "≥ 1,262"]


def test_the_longest_off_come_first(fern: FernRow, manager: User) -> None:
    assert names(manager, "") == ["A:7", "A:1", "A:2", "B:1", "B:2"]


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("sort=-since", ["B:1", "B:2", "A:2", "A:1", "A:7"]),
        ("sort=days", ["B:1", "B:2", "A:2", "A:1", "A:7"]),
        ("sort=-station", ["B:2", "B:1", "A:7", "A:2", "A:1"]),
        ("sort=nonsense", ["A:7", "A:1", "A:2", "B:1", "B:2"]),
    ],
)
def test_sorts_by_what_a_column_shows(
    fern: FernRow, manager: User, query: str, expected: list[str]
) -> None:
    assert names(manager, query) == expected


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("reason=wire", ["A:7", "A:1"]),
        ("reason=link+lost", ["B:1", "B:2"]),
        ("kind=by+hand", ["A:2"]),
        ("fault=open", ["A:1"]),
        ("fault=none", ["A:7", "A:2", "B:1", "B:2"]),
        ("q=A:7", ["A:7"]),
        ("q=a:7", ["A:7"]),
        ("q=7", ["A:7"]),
        ("q=lawn+b", ["B:1", "B:2"]),
        ("q=fern+A:2", ["A:2"]),
        ("q=fern&reason=wire&fault=none", ["A:7"]),
    ],
)
def test_filters_by_reason_stand_in_fault_and_text(
    fern: FernRow, manager: User, query: str, expected: list[str]
) -> None:
    assert names(manager, query) == expected


def test_a_controller_whose_name_has_a_space_is_found_as_it_is_written(manager: User) -> None:
    station = make.station(controller=make.controller(name="North gate"), number=3)
    rebuild_spells([make.stopgap(station=station).station_id, make.stopgap().station_id])
    assert names(manager, "q=North+gate:3") == ["North gate:3"]


@pytest.mark.parametrize("text", ["²", "A:²", "9" * 40, "A:" + "9" * 40, "%00", ":", "A:", "%"])
def test_no_text_breaks_the_filter(fern: FernRow, manager: User, text: str) -> None:
    sheet = open_page(manager, f"/?q={text}")
    assert sheet.status == 200
    assert sheet.heading == "5 of 7 stations are off central control"


def test_a_filter_that_nothing_matches_offers_all_again(fern: FernRow, manager: User) -> None:
    sheet = open_page(manager, "/?q=nowhere")
    assert "Nothing matches this filter." in sheet.panel("list-title")
    assert sheet.links["Show all"] == "/"


@as_one_change()
def many(count: int) -> None:
    """Make this many stations off central control, the lowest number off the longest."""
    clock = make.controller(name="M")
    for number in range(1, count + 1):
        station = make.station(controller=clock, number=number)
        make.stopgap(station=station, on=date(2025, 1, 1))
        rebuild_spells([station.pk])


def test_pages_hold_every_station_once_though_all_are_equally_old(manager: User) -> None:
    many(60)
    shown = [name for page in (1, 2, 3) for name in names(manager, f"page={page}")]
    assert shown == [f"M:{number}" for number in range(1, 61)]
    assert "26–50 of 60" in open_page(manager, "/?page=2").words


def test_a_page_past_the_end_shows_the_last(manager: User) -> None:
    many(30)
    assert names(manager, "page=99") == [f"M:{number}" for number in range(26, 31)]


def test_links_to_pages_and_columns_keep_the_filter(manager: User) -> None:
    many(30)
    sheet = open_page(manager, "/?reason=wire&sort=since")
    assert sheet.links["2"] == "?reason=wire&sort=since&page=2"
    assert sheet.links["Name"] == "?reason=wire&sort=name"


def test_htmx_gets_the_table_alone(fern: FernRow, manager: User) -> None:
    part = fragment(manager, "/?reason=wire")
    assert [row[0] for row in part.rows()] == ["A:7", "A:1"]
    assert "<html" not in part.html
    assert "<h1" not in part.html


def test_caches_are_told_that_page_and_fragment_differ(fern: FernRow, manager: User) -> None:
    for sheet in (open_page(manager, "/"), fragment(manager, "/")):
        assert "HX-Request" in sheet.response.headers["Vary"]


def test_going_back_after_the_browser_forgot_the_page_brings_the_whole_page(
    fern: FernRow, manager: User
) -> None:
    headers = {"HX-Request": "true", "HX-History-Restore-Request": "true"}
    assert "<h1" in open_page(manager, "/?reason=wire", **headers).html


def test_controllers_not_meant_to_be_linked_stand_outside(fern: FernRow, manager: User) -> None:
    # C:1 is on a battery timer too, and counts neither as off nor among the seven.
    make.stopgap(station=fern["C:1"])
    rebuild_spells([fern["C:1"].pk])
    sheet = open_page(manager, "/")
    assert sheet.heading == "5 of 7 stations are off central control"
    assert "C:1" not in sheet.words


def test_retired_stations_stand_outside(fern: FernRow, manager: User) -> None:
    fern["A:1"].retired_on = date(2025, 6, 1)
    fern["A:1"].save()
    rebuild_spells([fern["A:1"].pk])
    assert open_page(manager, "/").heading == "4 of 6 stations are off central control"


def test_says_so_when_everything_is_on_central_control(manager: User) -> None:
    clock = make.controller()
    for number in (1, 2):
        make.station(controller=clock, number=number)
    sheet = open_page(manager, "/")
    assert sheet.heading == "All 2 stations are on central control"
    assert "list-title" not in sheet.panels


def test_does_not_claim_that_stations_are_linked_where_nobody_knows(manager: User) -> None:
    make.station(controller=make.controller(central=Central.NOT_KNOWN))
    make.station()
    assert open_page(manager, "/").heading == "None of the 2 stations is off central control"


def test_an_empty_register_leads_to_loading_and_adding(manager: User) -> None:
    sheet = open_page(manager, "/")
    assert "The register is empty" in sheet.words
    assert sheet.links["Add the first property by hand"] == "/properties/add/"
    assert sheet.links["Load the first file"] == "/load/"


def test_an_empty_register_offers_nothing_that_the_role_may_not_do() -> None:
    sheet = open_page(make.user(Role.TECHNICIAN), "/")
    assert "The office can load it" in sheet.words
    assert "Add the first property by hand" not in sheet.links


def test_a_register_outside_central_control_is_not_called_empty(manager: User) -> None:
    clock = make.controller(central=Central.NOT_MEANT)
    make.station(controller=clock)
    sheet = open_page(manager, "/")
    assert "The register is empty" not in sheet.words
    assert "No station is meant to be under central control." in sheet.words


def test_properties_come_with_how_many_are_off_of_how_many(fern: FernRow, manager: User) -> None:
    make_fern_row(code="Gorse End")["B:1"].spells.all().delete()
    assert open_page(manager, "/").rows("where") == [
        ["Fern Row", "5 of 7", "71 %", "2021-12-31"],
        ["Gorse End", "4 of 7", "57 %", "2021-12-31"],
    ]


def test_a_subcontractor_sees_the_count_of_its_own_property(fern: FernRow) -> None:
    make_fern_row(code="Gorse End")
    sheet = open_page(make.user(Role.TRACER, property=fern.property), "/")
    assert sheet.heading == "5 of 7 stations are off central control"
    assert "Gorse End" not in sheet.words
