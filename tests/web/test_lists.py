"""Lists of properties, controllers, stations, stopgaps and faults: filter, sort, page."""

from datetime import date

import pytest

from faults.models import Break
from sites.kernel.engines.roles import Role
from sites.models import StationFacts, User
from sites.stopgaps.services.spells import rebuild_spells
from tests import make
from tests.web.fern_row import FernRow, make_fern_row
from tests.web.pages import fragment, open_page

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

LISTS = ["/properties/", "/controllers/", "/stations/", "/stopgaps/", "/faults/"]


def names(user: User, url: str) -> list[str]:
    """Return the first column of a list."""
    return open_page(user, url).column(0)


@pytest.mark.parametrize("url", LISTS)
def test_htmx_gets_the_table_alone(fern: FernRow, manager: User, url: str) -> None:
    whole, part = open_page(manager, url), fragment(manager, url)
    assert part.rows() == whole.rows() != []
    assert "<html" not in part.html
    assert "HX-Request" in whole.response.headers["Vary"]


@pytest.mark.parametrize("url", ["/", *LISTS, "/moves/", "/water/missing/", "/water/"])
def test_each_table_says_what_it_is_and_each_row_what_it_is_about(
    fern: FernRow, manager: User, url: str
) -> None:
    tables = open_page(manager, url).tree.find("table")
    assert tables
    for table in tables:
        (caption,) = table.find("caption")
        assert caption.words
        for body in table.find("tbody"):
            for row in body.find("tr"):
                (header,) = row.find("th", scope="row")
                assert header.words
    if url != "/":
        listed = fragment(manager, url).tree.find("caption")
        assert [each.words for each in listed]


@pytest.mark.parametrize("url", LISTS)
def test_going_back_brings_the_whole_page(fern: FernRow, manager: User, url: str) -> None:
    headers = {"HX-Request": "true", "HX-History-Restore-Request": "true"}
    assert "<html" in open_page(manager, url, **headers).html


@pytest.mark.parametrize("url", LISTS)
def test_an_empty_register_says_what_to_do(manager: User, url: str) -> None:
    assert "The register is empty" in open_page(manager, url).words


@pytest.mark.parametrize("url", LISTS)
def test_a_filter_that_nothing_matches_offers_all_again(
    fern: FernRow, manager: User, url: str
) -> None:
    sheet = open_page(manager, f"{url}?q=nowhere")
    assert "Nothing matches this filter." in sheet.words
    assert sheet.links["Show all"] == url


@pytest.mark.parametrize("url", LISTS)
@pytest.mark.parametrize(
    "query",
    ["q=²", "q=A:²", "q=%00", "sort=nonsense", "page=x", "page=-3", "reason=x&kind=x&stage=x"],
)
def test_no_query_breaks_a_list(fern: FernRow, manager: User, url: str, query: str) -> None:
    assert open_page(manager, f"{url}?{query}").status == 200


@pytest.mark.parametrize("url", LISTS)
def test_every_column_sorts_both_ways(fern: FernRow, manager: User, url: str) -> None:
    heads = open_page(manager, url).tree.find("th", scope="col")
    heads = [head for head in heads if "tick" not in head.classes]
    links = [link.attributes["href"] for head in heads for link in head.find("a")]
    assert len(links) == len(heads)
    for link in links:
        once = open_page(manager, url + link)
        again = open_page(manager, f"{url}?sort=-{link.partition('sort=')[2].lstrip('-')}")
        assert sorted(once.rows()) == sorted(again.rows()) != []


def test_properties_come_with_stations_and_how_many_are_off(fern: FernRow, manager: User) -> None:
    make.place(code="Aster Yard", kind="school")
    rows = open_page(manager, "/properties/").rows()
    assert [row[0] for row in rows] == ["Aster Yard", "Fern Row"]
    assert rows[1][1:] == ["Fern Row Trust", "", "8", "5"]


def test_properties_are_found_by_every_word(fern: FernRow, manager: User) -> None:
    make.place(code="Aster Yard", kind="school", address="9 Fern Lane")
    assert names(manager, "/properties/?q=fern") == ["Aster Yard", "Fern Row"]
    assert names(manager, "/properties/?q=fern+school") == ["Aster Yard"]


def test_controllers_are_kept_by_link_and_wiring(fern: FernRow, manager: User) -> None:
    make.controller(property=fern.property, name="D", wiring="two-wire path")
    assert names(manager, "/controllers/?central=link+lost") == ["B"]
    assert names(manager, "/controllers/?wiring=two-wire+path") == ["D"]
    assert open_page(manager, "/controllers/").rows()[1] == [
        "B", "Fern Row", "one wire per station", "link lost", "2", "2",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("reason=any", ["A:1", "A:2", "A:7", "B:1", "B:2"]),
        ("reason=wire", ["A:1", "A:7"]),
        ("reason=link+lost", ["B:1", "B:2"]),
        ("reason=controller", []),
        ("kind=pump+start", []),
        ("q=A:7", ["A:7"]),
    ],
)
def test_stations_are_kept_by_reason_kind_and_text(
    fern: FernRow, manager: User, query: str, expected: list[str]
) -> None:
    assert names(manager, f"/stations/?{query}") == expected


def test_stations_are_kept_by_the_reason_of_now_and_shown_once(
    fern: FernRow, manager: User
) -> None:
    # A:4 was off for a week because of its wire; now it is off for the client's choice.
    make.stopgap(station=fern["A:4"], on=date(2025, 6, 1), reason="client's choice")
    rebuild_spells([fern["A:4"].pk])
    assert names(manager, "/stations/?reason=wire") == ["A:1", "A:7"]
    assert names(manager, "/stations/?reason=client's+choice") == ["A:4"]
    assert names(manager, "/stations/?reason=any").count("A:4") == 1


def test_stations_show_their_area_in_the_units_of_the_property(manager: User) -> None:
    clock = make.controller(property=make.place(units="metric"))
    StationFacts.objects.create(station=make.station(controller=clock), area_sqft=1000)
    assert open_page(manager, "/stations/").rows()[0][4] == "93 m²"


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("", ["A:2", "A:1", "A:4", "A:7"]),
        ("standing=yes", ["A:2", "A:1", "A:7"]),
        ("standing=no", ["A:4"]),
        ("kind=by+hand", ["A:2"]),
        ("reason=wire&standing=yes", ["A:1", "A:7"]),
    ],
)
def test_stopgaps_are_kept_by_kind_reason_and_whether_they_stand(
    fern: FernRow, manager: User, query: str, expected: list[str]
) -> None:
    assert names(manager, f"/stopgaps/?{query}") == expected


def test_a_stopgap_of_some_day_in_a_year_is_there_at_least_since_its_end(
    fern: FernRow, manager: User
) -> None:
    assert open_page(manager, "/stopgaps/?q=A:7").rows()[0][4] == "at least since 2021-12-31"


def test_stopgaps_are_found_by_their_device(fern: FernRow, manager: User) -> None:
    make.stopgap(station=fern["A:3"], device=make.device(name="Timer blue"))
    assert names(manager, "/stopgaps/?q=blue") == ["A:3"]


def test_faults_come_newest_first_with_cause_and_stations(fern: FernRow, manager: User) -> None:
    old = make.fault(fern["A:2"], fern["A:4"], key="F-0", reported_on=date(2024, 1, 1))
    Break.objects.create(fault=old, cause="rodent")
    rows = open_page(manager, "/faults/").rows()
    assert [row[0] for row in rows] == ["F-1", "F-0"]
    assert rows[1] == ["F-0", "Fern Row", "2024-01-01", "not known", "reported", "2", "rodent", ""]


def test_faults_are_kept_by_stage_symptom_and_cause(fern: FernRow, manager: User) -> None:
    old = make.fault(fern["A:2"], key="F-0", symptom="short", stage="returned")
    for number in (1, 2):
        Break.objects.create(fault=old, cause="root", running_number=number)
    assert names(manager, "/faults/?stage=open") == ["F-1"]
    assert names(manager, "/faults/?stage=returned") == ["F-0"]
    assert names(manager, "/faults/?symptom=short") == ["F-0"]
    assert names(manager, "/faults/?cause=root") == ["F-0"]


@pytest.mark.parametrize("url", [url for url in LISTS if url != "/faults/"])
def test_a_role_for_one_property_lists_that_alone(fern: FernRow, url: str) -> None:
    make_fern_row(code="Gorse End")
    tracer = make.user(Role.TRACER, property=fern.property)
    words = open_page(tracer, url).words
    assert "Fern Row" in words
    assert "Gorse End" not in words


def test_what_narrows_a_list_stands_above_it_and_goes_one_by_one(
    fern: FernRow, manager: User
) -> None:
    url = "/stations/?q=a&kind=valve&sort=number&page=1&reason="
    (chips,) = [e for e in open_page(manager, url).tree.find("ul") if "chips" in e.classes]
    found = {a.words.partition(" ×")[0]: a.attributes["href"] for a in chips.find("a")}
    assert found == {
        "Text: a": "?kind=valve&sort=number&reason=",
        "Kind: valve": "?q=a&sort=number&reason=",
    }
    plain = open_page(manager, "/stations/?sort=number")
    assert not [e for e in plain.tree.find("ul") if "chips" in e.classes]
