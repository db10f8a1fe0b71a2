"""Every list as a file, and the register as a whole."""

import csv
import io
import zipfile
from datetime import datetime
from typing import Any

import pytest
from openpyxl import load_workbook

from sites.models import User
from tests import make
from tests.cast import OURS, THEIRS, Cast, Corner
from tests.web.fern_row import FernRow
from tests.web.pages import open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

LISTS = ["/", "/properties/", "/controllers/", "/stations/", "/stopgaps/", "/faults/"]


def body(user: User, url: str) -> bytes:
    """Return a whole file."""
    response: Any = signed_in(user).get(url)
    assert response.status_code == 200
    assert response.headers["Content-Disposition"].startswith("attachment")
    return b"".join(response.streaming_content)


def rows(user: User, url: str) -> list[list[str]]:
    """Return the rows of a .csv, headings first."""
    return list(csv.reader(io.StringIO(body(user, url).decode("utf-8-sig"))))


def cells(user: User, url: str) -> list[list[Any]]:
    """Return the rows of a workbook's first sheet."""
    book = load_workbook(io.BytesIO(body(user, url)))
    return [list(row) for row in book.worksheets[0].iter_rows(values_only=True)]


@pytest.mark.parametrize("url", LISTS)
def test_every_list_comes_with_as_many_rows_as_it_has(
    fern: FernRow, manager: User, url: str
) -> None:
    shown = len(open_page(manager, url).rows("list-title" if url == "/" else None))
    assert len(rows(manager, f"{url}?export=csv")) == shown + 1
    assert len(cells(manager, f"{url}?export=xlsx")) == shown + 1


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_the_links_below_a_list_ask_for_what_is_shown(
    fern: FernRow, manager: User, kind: str
) -> None:
    links = open_page(manager, "/stations/?q=A7&page=1").links
    assert links[kind.upper()] == f"?q=A7&export={kind}"


def test_a_file_holds_all_filtered_rows_in_the_order_shown(manager: User) -> None:
    clock = make.controller(name="A")
    for number in range(1, 41):
        make.station(controller=clock, number=number, name="lawn" if number % 2 else "bed")
    found = rows(manager, "/stations/?q=lawn&sort=-number&export=csv")
    assert [row[0] for row in found[1:]] == [f"A:{number}" for number in range(39, 0, -2)]


def test_off_central_says_what_the_page_says(fern: FernRow, manager: User) -> None:
    found = rows(manager, "/?sort=since&export=csv")
    assert found[0] == [
        "Station", "Name", "Property", "Reason", "What stands in",
        "Off since", "Off since: or before", "Days",
        "Excess water (gal)", "Excess water: at least",
        "It costs", "Currency", "It costs: at least", "Fault",
        "Waits on", "Whose move", "Waits since", "Waits until", "Water: not known",
    ]  # fmt: skip
    assert found[1][:7] == [
        "A:7", "lawn A7", "Fern Row", "wire", "battery timer", "2021-12-31", "or before",
    ]  # fmt: skip
    assert int(found[1][7]) > 1000
    headings, first, *others = cells(manager, "/?sort=since&export=xlsx")
    at = headings.index("Off since")
    assert {type(row[at]) for row in [first, *others]} == {datetime}
    assert (first[at].date().isoformat(), first[at + 1]) == ("2021-12-31", "or before")
    assert {row[at + 1] for row in others} <= {"or before", None}


def test_measures_are_numbers_under_a_heading_with_their_unit(manager: User) -> None:
    place = make.place(units="metric")
    make.leg(property=place, label="L", length_ft=123.25)
    found = cells(manager, f"/properties/{place.ref}/legs/?export=xlsx")
    assert found[1][found[0].index("Length (ft)")] == 123.25


@pytest.mark.parametrize("name", ["=1+1", "+1", "-1", "@x"])
def test_no_cell_is_a_formula(manager: User, name: str) -> None:
    make.station(name=name)
    assert f"'{name}" in rows(manager, "/stations/?export=csv")[1]
    assert f"'{name}" in cells(manager, "/stations/?export=xlsx")[1]


def test_an_unknown_kind_of_file_is_the_page(fern: FernRow, manager: User) -> None:
    assert open_page(manager, "/stations/?export=exe").heading == "Stations"


@pytest.mark.parametrize(("table", "count"), [("reasons", 3), ("properties", 1), ("months", 24)])
def test_the_small_tables_of_the_first_page_come_as_files(
    fern: FernRow, manager: User, table: str, count: int
) -> None:
    url = f"/export/summary/?table={table}"
    assert len(rows(manager, f"{url}&export=csv")) == count + 1
    assert len(cells(manager, f"{url}&export=xlsx")) == count + 1


def test_the_months_add_up(fern: FernRow, manager: User) -> None:
    last = rows(manager, "/export/summary/?table=months&export=csv")[-1]
    assert (last[0], last[-1]) == ("2025-06", "5")
    assert sum(map(int, last[1:-1])) == 5


def test_the_page_says_what_is_in_it_and_what_is_not(fern: FernRow, manager: User) -> None:
    words = open_page(manager, "/export/").words
    assert "What is not in it" in words
    assert "this is no backup" in words


def test_the_page_says_that_a_client_gets_no_rates(cast: Cast) -> None:
    words = open_page(cast.client_user, "/export/").words
    assert "No prices and rates" in words
    assert "No contacts" in words


def test_a_stranger_may_not_export(cast: Cast) -> None:
    assert open_page(cast.stranger, "/export/").status == 403
    assert open_page(cast.stranger, "/export/register/").status == 403


def names(content: bytes) -> list[str]:
    """Return the files in a packed folder."""
    return zipfile.ZipFile(io.BytesIO(content)).namelist()


def test_the_register_comes_as_a_packed_folder(fern: FernRow, manager: User) -> None:
    assert names(body(manager, "/export/register/?as=zip"))[:3] == [
        "properties.csv", "contacts.csv", "controllers.csv",
    ]  # fmt: skip


def test_the_register_comes_as_a_workbook(fern: FernRow, manager: User) -> None:
    book = load_workbook(io.BytesIO(body(manager, "/export/register/?as=xlsx")))
    assert book.sheetnames[:3] == ["properties", "contacts", "controllers"]


def test_one_property_can_be_taken_alone(cast: Cast, ours: Corner) -> None:
    content = body(cast.owner, f"/export/register/?property={ours.property.ref}")
    texts = [zipfile.ZipFile(io.BytesIO(content)).read(name) for name in names(content)]
    assert THEIRS.encode() not in b"".join(texts)
    assert OURS.encode() in b"".join(texts)


def test_a_property_of_others_is_not_found(cast: Cast, theirs: Corner) -> None:
    url = f"/export/register/?property={theirs.property.ref}"
    assert open_page(cast.client_user, url).status == 404


def test_too_much_for_a_workbook_is_said_in_words(
    fern: FernRow, manager: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("faults.load.services.export.register.MOST_READINGS_IN_A_WORKBOOK", -1)
    response = signed_in(manager).get("/export/register/?as=xlsx", follow=True)
    assert "too much for one workbook" in response.content.decode()
