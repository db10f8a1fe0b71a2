"""An office worker reconciles: brings central's list and settles it, click by click."""

from datetime import date
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from sites.kernel.engines.roles import Role
from sites.models import Station
from sites.stopgaps.services.spells import rebuild_spells
from tests import make
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service

LIST = """Site,Clock,Station,Enabled
Fern Row,A,1,yes
Fern Row,A,2,no
Fern Row,A,9,yes
"""


@pytest.fixture
def central_list(tmp_path: Path) -> Path:
    """The central system's list as it was saved."""
    path = tmp_path / "central.csv"
    path.write_text(LIST)
    return path


def test_an_office_worker_reconciles(page: Page, site_url: str, central_list: Path) -> None:
    clock = make.controller(property=make.place(code="Fern Row"), name="A")
    stations = {n: make.station(controller=clock, number=n) for n in (1, 2, 3)}
    make.stopgap(station=stations[1], on=date(2025, 1, 1))
    rebuild_spells([stations[1].pk])
    sign_in(page.context, make.user(Role.DISPATCHER), site_url)
    said: list[str] = []
    page.on("console", lambda each: said.append(each.text) if each.type == "error" else None)

    page.goto(f"{site_url}/")
    page.get_by_role("link", name="Load and set up").click()
    page.get_by_role("link", name="Reconcile with central").click()
    page.get_by_label("The list").set_input_files(central_list)
    page.get_by_role("button", name="Compare").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("4 differences")
    opened = page.url

    page.get_by_role("button", name="End the stopgap").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("3 differences")
    page.get_by_role("button", name="Count it off from today").click()
    expect(page.get_by_role("status")).to_contain_text("A:2: counted off here.")
    page.get_by_role("button", name="Add the station").click()
    expect(page.get_by_role("status")).to_contain_text("A:9: added here.")
    page.get_by_role("button", name="Add it there").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Central and the register agree")
    expect(page.get_by_role("heading", name="To do in central")).to_be_visible()

    page.get_by_role("button", name="Take back the decision on A:2").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("1 difference between")
    assert page.url == opened
    assert said == []
    assert Station.objects.filter(number=9).exists()
    assert not stations[2].spell_parts.exists()
