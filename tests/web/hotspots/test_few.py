"""The page of hotspots in the order of an owner: the few that matter, charts, then rows."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make
from tests.services.hotspots.trunk import Trunk, trunk
from tests.web.pages import open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


@pytest.fixture
def line() -> Trunk:
    """Twelve legs of 100 ft, of which the third was struck eight times."""
    made = trunk((100.0,) * 12)
    for n in range(8):
        made.struck(made.legs[2], date(2021 + n // 3, 2 + n, 3))
    made.struck(made.legs[4], date(2022, 8, 1), cause="splice")
    return made


@pytest.fixture
def owner(db: None) -> User:
    """An owner of everything."""
    return make.user(Role.OWNER)


def test_the_few_that_matter_come_first_in_plain_words(line: Trunk, owner: User) -> None:
    page = open_page(owner, "/hotspots/")
    said = page.panel("few")
    assert "times as often as the rest" in said
    assert "8 faults in 5.5 years, mostly: rodent; the last on 2023-09-03." in said
    assert "a conduit keeps rodents off" in said
    assert page.links["Repair or replace?"] == f"/hotspots/legs/{line.legs[2].ref}/worth/"
    for word in ("interval", "rate", "95 %"):
        assert word not in said
    assert "T-5" not in said


def test_rates_and_method_are_one_click_deeper(line: Trunk, owner: User) -> None:
    def is_open(url: str) -> bool:
        (deep,) = (d for d in open_page(owner, url).tree.find("details") if "deeper" in d.classes)
        return "open" in deep.attributes

    assert not is_open("/hotspots/")
    assert is_open("/hotspots/?sort=-rate")
    assert is_open("/hotspots/?page=1")
    assert is_open("/hotspots/?causes=wire")


def test_charts_come_before_the_table(line: Trunk, owner: User) -> None:
    html = open_page(owner, "/hotspots/").html
    assert html.index('id="few"') < html.index("data-chart=") < html.index('id="rows"')


def test_flagged_rows_cost_no_query_each(owner: User) -> None:
    asked = []
    made = trunk((100.0,) * 40)
    for legs in (made.legs[:1], made.legs[1:3]):
        for leg in legs:
            for month in range(1, 10):
                made.struck(leg, date(2022, month, 3))
        browser = signed_in(owner)
        browser.get("/hotspots/")
        with CaptureQueriesContext(connection) as found:
            assert b"times as often" in browser.get("/hotspots/").content
        asked.append(len(found))
    # What past faults cost is read once, where a row has no visit written down.
    assert asked[0] == asked[1] <= 27
