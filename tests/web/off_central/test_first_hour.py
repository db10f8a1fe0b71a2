"""The list of what to do next, on its page and as a panel of home."""

from typing import Any

import pytest

from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make
from tests.web.pages import HTMX, fragment, open_page, send, signed_in

pytestmark = pytest.mark.django_db
PAGE, AWAY, BACK = "/first-hour/", "/first-hour/put-away/", "/first-hour/bring-back/"


@pytest.fixture
def owner(db: None) -> User:
    """An owner of everything."""
    return make.user(Role.OWNER)


def test_home_asks_for_it_where_one_may_enter_things(owner: User) -> None:
    station = make.station()
    client = make.user(Role.TECHNICIAN)
    assert f'hx-get="{PAGE}"' in open_page(owner, "/").html
    assert PAGE not in open_page(client, "/").html
    make.stopgap(station=station)
    assert f'hx-get="{PAGE}"' in open_page(owner, "/").html


def test_the_panel_has_what_is_open_with_how_far_it_is(owner: User) -> None:
    make.place(records_since=make.TODAY)
    panel = fragment(owner, PAGE)
    assert "0 of 1 properties have a price of water." in panel.words
    assert "Say since when faults are written down" not in panel.words
    assert "1 of 7 is done" in panel.words


def test_the_panel_is_one_line_when_less_than_half_is_open(owner: User) -> None:
    make.place()
    for step in ("records", "prices", "climate"):
        send(owner, AWAY, step=step)
    assert fragment(owner, PAGE).tree.find("ol") != []
    send(owner, AWAY, step="contacts")
    panel = fragment(owner, PAGE)
    assert panel.tree.find("ol") == []
    assert panel.words == "What to do next: 3 of 7 steps are open"


def test_the_page_leads_to_the_forms(owner: User) -> None:
    place = make.place(code="Alder")
    sheet = open_page(owner, PAGE)
    forms = {a.attributes["href"] for a in sheet.tree.find("a") if a.words == "Alder"}
    browser = signed_in(owner)
    assert f"/properties/{place.ref}/tariff/" in forms
    assert {browser.get(url).status_code for url in forms} == {200}


def test_each_step_leads_to_a_page_that_opens(owner: User) -> None:
    make.stopgap(device=make.device())
    browser = signed_in(owner)
    steps = open_page(owner, PAGE).tree.find("ol")
    urls = [a.attributes["href"] for ol in steps if "step-list" in ol.classes for a in ol.find("a")]
    assert len(urls) > 10
    assert {browser.get(url).status_code for url in urls} == {200}


def test_put_away_and_brought_back(owner: User) -> None:
    make.place()
    sheet = send(owner, AWAY, step="records", back="/properties/")
    assert sheet.response.redirect_chain == [("/properties/", 302)]
    assert sheet.messages == ["Put away. It stands under “What to do next”."]
    assert "Say since when" not in fragment(owner, PAGE).words
    assert "Say since when" in open_page(owner, PAGE).panel("away")
    assert "Say since when" in send(owner, BACK, step="records").panel("open")


@pytest.mark.parametrize("back", ["https://elsewhere.example/", "//elsewhere.example/", ""])
def test_never_leads_to_another_site(owner: User, back: str) -> None:
    make.place()
    sheet = send(owner, AWAY, step="dance", back=back)
    assert sheet.response.redirect_chain == [(PAGE, 302)]
    assert sheet.messages == ["There is no such step. Open the list again."]


def test_nothing_open_leaves_no_panel(owner: User) -> None:
    make.place()
    for step in ("records", "prices", "climate", "contacts", "notice rules", "crews", "people"):
        send(owner, AWAY, step=step)
    answer = signed_in(owner).get(PAGE, headers=HTMX)
    assert (answer.status_code, answer.content) == (204, b"")


def test_an_empty_register_says_how_to_begin(owner: User) -> None:
    send(owner, AWAY, step="crews")
    assert "How far" not in open_page(owner, PAGE).words
    assert open_page(owner, "/").words.count("Load the first file") == 1


@pytest.mark.parametrize("times", [3, 30])
def test_asks_as_often_for_few_as_for_many(
    owner: User, times: int, django_assert_max_num_queries: Any
) -> None:
    for _ in range(times):
        make.stopgap(device=make.device())
    browser = signed_in(owner)
    browser.get(PAGE)
    with django_assert_max_num_queries(25):
        browser.get(PAGE, headers=HTMX)
