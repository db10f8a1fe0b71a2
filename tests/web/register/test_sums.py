"""Below a list: the sum of a column over all of its rows, on whichever page."""

import re

import pytest

from sites.kernel.engines.roles import Role
from tests import make
from tests.web.pages import signed_in

pytestmark = pytest.mark.django_db


def foot(body: str) -> list[str]:
    """The cells of the last row."""
    found = re.search("<tfoot>(.*?)</tfoot>", body, re.DOTALL)
    return re.findall(r"<td[^>]*>(.*?)</td>", found[1]) if found else []


def test_stations_of_all_pages_are_added_up_and_those_of_a_filter_alone() -> None:
    # One more than a page shows; the last has two stations.
    clocks = [make.controller(property=make.place(code=f"P{n:02}")) for n in range(26)]
    off = [make.station(controller=clock) for clock in [*clocks, clocks[-1]]]
    make.stopgap(station=off[0])
    browser = signed_in(make.user(Role.OWNER))
    for page in ("/properties/", "/properties/?page=2"):
        assert foot(browser.get(page).content.decode()) == ["All", "", "", "27", "1"]
    assert foot(browser.get("/properties/?q=P25").content.decode())[-2:] == ["2", "0"]
    assert foot(browser.get("/controllers/").content.decode())[-2:] == ["27", "1"]
    assert foot(browser.get("/properties/?q=nowhere").content.decode()) == []
    assert foot(browser.get("/stations/").content.decode()) == []
