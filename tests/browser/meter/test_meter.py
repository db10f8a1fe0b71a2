"""A water manager gives a missing flow: "not known" becomes a number, total and order change."""

import io
import re
from datetime import date, timedelta

import pytest
from django.utils import timezone
from openpyxl import load_workbook
from playwright.sync_api import Page, expect

from sites.kernel.engines.roles import Role
from sites.models import Meter, Station
from tests import make, make_water
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service


@pytest.fixture
def lawns(site_url: str) -> tuple[Station, Station]:
    """Two lawns off for a year and for two: the flow of the older one was never measured."""
    make_water.climate(rain_in=make_water.RAIN_OF_THE_LAWN)
    place = make.place(code="Lawn Park", climate_table="Valley")
    make_water.tariff(place)
    today = timezone.localdate()
    known = make_water.lawn(place, on=today - timedelta(days=365))
    unknown = make_water.lawn(
        place, on=today - timedelta(days=730), facts={"flow_gpm": None, "plant_kind": "turf"}
    )
    for station in (known, unknown):
        schedule = station.schedules.get()
        schedule.from_on = date(2020, 1, 1)
        schedule.save()
    return known, unknown


def stations(page: Page) -> list[str]:
    """Return the stations in the list, in order."""
    return page.locator("#rows tbody tr > th").all_inner_texts()


def test_a_flow_that_is_entered_moves_total_order_and_file(
    page: Page, site_url: str, lawns: tuple[Station, Station]
) -> None:
    known, unknown = (str(each) for each in lawns)
    sign_in(page.context, make.user(Role.WATER_MANAGER), site_url)
    page.goto(f"{site_url}/?sort=-cost")
    assert stations(page) == [known, unknown]
    costs = page.locator("section[aria-labelledby=costs]")
    before = costs.inner_text()
    assert "≥" in before
    # What to do next comes after the page: a panel of many steps moves what stands below it.
    expect(page.get_by_role("heading", name="What to do next")).to_be_visible()
    costs.get_by_role("link", name="1 station").click()
    page.get_by_role("link", name=re.compile("^flow")).click()
    page.get_by_label(re.compile("It was wrong")).check()
    page.get_by_label("What was wrong?").fill("never measured")
    page.get_by_label(re.compile("^Flow")).fill("18")
    page.get_by_role("button", name="Keep this").click()
    expect(page.get_by_role("status")).to_contain_text("Put right")
    page.goto(f"{site_url}/?sort=-cost")
    assert stations(page) == [unknown, known]
    after = costs.inner_text()
    assert "≥" not in after
    assert before != after
    meters = list(Meter.objects.order_by("-cost"))
    total = sum(each.excess_gal for each in meters)
    assert f"{total:,.0f} gal" in after
    with page.expect_download() as download:
        page.locator("#list").get_by_role("link", name="XLSX").click()
    content = io.BytesIO(download.value.path().read_bytes())
    headings, *rows = load_workbook(content).worksheets[0].iter_rows(values_only=True)
    column = headings.index("It costs")
    assert [row[column] for row in rows] == pytest.approx([each.cost for each in meters], abs=0.005)


def test_the_pictures_are_drawn_from_their_tables(
    page: Page, site_url: str, lawns: tuple[Station, Station]
) -> None:
    sign_in(page.context, make.user(Role.WATER_MANAGER), site_url)
    page.goto(f"{site_url}/stations/{lawns[0].ref}/water/")
    expect(page.locator(".chart[data-drawn] .bars .point").first).to_be_attached()
    page.goto(f"{site_url}/water/")
    expect(page.locator(".chart[data-drawn] .bars .point")).to_have_count(1)
