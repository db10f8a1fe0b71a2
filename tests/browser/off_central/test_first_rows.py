"""The stations that are the longest off, on the front page: no column lies outside on a desk."""

import pytest
from playwright.sync_api import Page

from tests.browser.scene import make_scene
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service

HIDDEN = """() => {
  const box = document.querySelector("#first .table-scroll");
  return box.scrollWidth - box.clientWidth;
}"""


def test_the_last_column_is_in_view_at_every_width_of_a_desk(page: Page, site_url: str) -> None:
    """Common practice, no source: the widths are those of usual screens, and around the change."""
    made = make_scene()
    station = made.corner.off_central
    station.name = "South shrub border behind the long building at the loading bay"
    station.save()
    place = made.corner.property
    place.name = "The Larkmoor School of Agriculture and Horticulture"
    place.save()
    sign_in(page.context, made.owner, site_url)
    page.goto(site_url)
    found = {}
    for width in (992, 1024, 1279, 1280, 1440, 1920):
        page.set_viewport_size({"width": width, "height": 900})
        found[width] = page.evaluate(HIDDEN)
    assert {width: by for width, by in found.items() if by > 0} == {}
