"""The search page: a plain form, a fragment while typing, the same number of queries always."""

from typing import Any

import pytest
from django.db import connection
from django.test import Client

from sites.models import User
from tests import make
from tests.cast import Cast
from tests.web.fern_row import FernRow
from tests.web.pages import HTMX, fragment, open_page, signed_in

pytestmark = pytest.mark.django_db


def test_every_page_has_the_box(fern: FernRow, manager: User) -> None:
    for url in ("/", "/properties/", "/faults/", f"/stations/{fern['A:1'].ref}/"):
        (form,) = open_page(manager, url).tree.find("form", role="search")
        assert form.attributes["action"] == "/search/"
        assert form.find("input", name="q")


def test_finds_and_links_what_was_asked(fern: FernRow, manager: User) -> None:
    sheet = open_page(manager, "/search/?q=fern+a+7")
    assert sheet.links["A:7 lawn A7"] == f"/stations/{fern['A:7'].ref}/"


def test_keeps_what_was_typed(fern: FernRow, manager: User) -> None:
    assert open_page(manager, "/search/?q=%22%3Cfern").value("q") == '"<fern'


def test_while_typing_only_the_results_come(fern: FernRow, manager: User) -> None:
    sheet = fragment(manager, "/search/?q=fern")
    assert sheet.tree.find("h1") == []
    assert sheet.links["Fern Row"] == f"/properties/{fern.property.ref}/"


def test_says_what_to_do_when_nothing_is_found(fern: FernRow, manager: User) -> None:
    assert "Try fewer words" in open_page(manager, "/search/?q=zzzz").words


def test_says_what_can_be_asked_before_anything_is(fern: FernRow, manager: User) -> None:
    assert "A letter or two may be wrong" in open_page(manager, "/search/").words


def test_every_kind_that_is_found_has_a_link_that_opens(fern: FernRow, manager: User) -> None:
    make.point(property=fern.property, name="quince box")
    make.wire(property=fern.property, name="quince wire")
    make.station(controller=fern["A:1"].controller, number=77, name="quince lawn")
    make.fault(fern["A:1"], key="quince-1")
    browser = signed_in(manager)
    links = [
        url
        for words, url in open_page(manager, "/search/?q=quince").links.items()
        if "quince" in words
    ]
    assert len(links) == 4
    assert {browser.get(url).status_code for url in links} == {200}


@pytest.mark.parametrize("times", [3, 30])
def test_asks_as_often_for_few_things_as_for_many(
    manager: User, times: int, django_assert_max_num_queries: Any
) -> None:
    clock = make.controller()
    for number in range(1, times + 1):
        make.station(controller=clock, number=number, name=f"lawn {number}")
    browser = signed_in(manager)
    browser.get("/search/")
    with django_assert_max_num_queries(20):
        browser.get("/search/?q=lawn", headers=HTMX)


@pytest.mark.parametrize("times", [3, 30])
def test_the_command_search_too(
    manager: User, times: int, django_assert_max_num_queries: Any
) -> None:
    place = make.place(code="Alder Court")
    clock = make.controller(property=place)
    for number in range(1, times + 1):
        make.station(controller=clock, number=number, name=f"lawn {number}")
        make.place(code=f"Lawn {number}")
    browser = signed_in(manager)
    browser.get("/search/")
    # On PostgreSQL a savepoint sets how alike words have to be.
    most = 25 if connection.vendor == "postgresql" else 22
    with django_assert_max_num_queries(most):
        browser.get(f"/search/commands/?q=report+lawn&from=/properties/{place.ref}/")


def test_the_list_of_commands_names_each_line_and_where_it_leads(
    fern: FernRow, manager: User
) -> None:
    sheet = open_page(manager, "/search/commands/?q=report")
    options = [each for each in sheet.tree.find("div") if each.attributes.get("role") == "option"]
    assert len({each.attributes["id"] for each in options}) == len(options)
    leads = {each.words: each.attributes["data-href"] for each in options}
    assert leads["Report a fault"] == "/faults/report/"
    assert "/search/?q=report" in leads.values()


def test_narrows_to_a_property(fern: FernRow, manager: User) -> None:
    other = make.controller(property=make.place(code="Elsewhere"), name="A")
    make.station(controller=other, number=7, name="lawn")
    sheet = open_page(manager, "/search/?q=lawn")
    narrowed = open_page(manager, f"/search/{sheet.links['Elsewhere']}")
    assert "Only on Elsewhere" in narrowed.words
    assert [name for name in narrowed.links if "lawn" in name] == ["A:7 lawn"]
    assert narrowed.value("on") == other.property.ref


def test_a_property_that_one_may_not_see_narrows_nothing(fern: FernRow, cast: Cast) -> None:
    sheet = open_page(cast.outsider, f"/search/?q=wombat&on={fern.property.ref}")
    assert "Only on" not in sheet.words
    assert "wombat-park" in sheet.words


def test_nobody_searches_without_signing_in() -> None:
    assert Client().get("/search/?q=x").status_code == 302
