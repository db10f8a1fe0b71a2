"""The trend chart: six patterns, fetched only where there is a chart, and a light page around."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import ConsoleMessage, Page, Response, expect

from tests.browser.scene import Scene, make_scene
from tests.services_real.chromium import sign_in
from tests.services_real.needs import wait_until

pytestmark = pytest.mark.service

HEAVIEST = 120_000
CHART = "[data-drawn=yes]"


@pytest.fixture
def scene(page: Page, site_url: str) -> Scene:
    """Something of everything, and its owner signed in."""
    made = make_scene()
    sign_in(page.context, made.owner, site_url)
    return made


def drawn(page: Page, site_url: str) -> Page:
    """Open Off central and wait for its chart."""
    page.goto(site_url)
    page.locator(CHART).wait_for()
    return page


def traces(page: Page) -> list[dict[str, Any]]:
    """Return what the chart was drawn from."""
    found: list[dict[str, Any]] = page.evaluate(
        f"document.querySelector('{CHART}').data.map(t => "
        "({name: t.name, y: t.y, shape: t.marker.pattern.shape, colour: t.marker.color}))"
    )
    return found


def transferred(page: Page) -> Callable[[], dict[str, int]]:
    """Count the compressed bytes of each file from now on."""
    sizes: dict[str, int] = {}

    def add(response: Response) -> None:
        sizes[response.url] = response.request.sizes()["responseBodySize"]

    page.on("requestfinished", lambda request: add(request.response()))
    return lambda: sizes


def test_all_six_reasons_are_drawn_each_with_colour_and_pattern_of_its_own(
    page: Page, site_url: str, scene: Scene
) -> None:
    found = traces(drawn(page, site_url))
    assert [trace["name"] for trace in found] == [
        "wire", "valve or solenoid", "controller", "link lost", "client's choice", "not known",
    ]  # fmt: skip
    assert len({trace["shape"] for trace in found}) == len({t["colour"] for t in found}) == 6
    expect(page.locator(f"{CHART} .trace.bars")).to_have_count(6)
    assert page.locator(f"{CHART} pattern").count() >= 5


def test_the_bars_hold_the_numbers_of_the_table(page: Page, site_url: str, scene: Scene) -> None:
    found = traces(drawn(page, site_url))
    page.get_by_text("The numbers behind it").click()
    rows = page.locator("section[aria-labelledby=trend] tbody tr").all()
    last = [cell.inner_text() for cell in rows[0].locator("td").all()]
    assert last[:-1] == [str(trace["y"][-1]) for trace in found]
    assert int(last[-1]) == sum(trace["y"][-1] for trace in found)


def test_the_chart_has_its_rules_and_the_browser_refuses_nothing(
    page: Page, site_url: str, scene: Scene
) -> None:
    said: list[ConsoleMessage] = []
    page.on("console", lambda message: said.append(message))
    drawn(page, site_url)
    page.wait_for_load_state("networkidle")
    assert [each.text for each in said if each.type in {"error", "warning"}] == []
    rules = "[...document.querySelector('link[rel=stylesheet]').sheet.cssRules].map(r => r.cssText)"
    assert any(".js-plotly-plot .plotly" in rule for rule in page.evaluate(rules))
    assert page.evaluate("document.querySelectorAll('style').length") == 0


def test_a_change_of_theme_draws_it_anew(page: Page, site_url: str, scene: Scene) -> None:
    drawn(page, site_url)
    ink = f"document.querySelector('{CHART}').layout.font.color"
    light = page.evaluate(ink)
    page.emulate_media(color_scheme="dark")
    wait_until(lambda: page.evaluate(ink) != light, what="the chart in dark ink", seconds=5)
    expect(page.locator(f"{CHART} .trace.bars")).to_have_count(6)


def test_a_chart_that_cannot_be_fetched_leads_to_the_table(
    page: Page, site_url: str, scene: Scene
) -> None:
    page.route("**/plotly.min*", lambda route: route.abort())
    page.goto(site_url)
    page.get_by_text("The drawing could not be fetched.").wait_for()
    page.get_by_text("The numbers behind it").click()
    expect(page.locator("section[aria-labelledby=trend] tbody tr")).to_have_count(24)


def test_plotly_is_loaded_where_there_is_a_chart_and_nowhere_else(
    page: Page, site_url: str, scene: Scene
) -> None:
    sizes = transferred(page)
    for url in ("/properties/", f"/stations/{scene.station.ref}/", "/?reason=wire"):
        page.goto(site_url + url)
        page.wait_for_load_state("networkidle")
        fetched = [name for name in sizes() if "plotly" in name]
        assert bool(fetched) is url.startswith("/?"), url


def test_without_the_chart_off_central_weighs_less_than_its_bar(
    page: Page, site_url: str, scene: Scene
) -> None:
    sizes = transferred(page)
    drawn(page, site_url)
    page.wait_for_load_state("networkidle")
    weights = {name.rsplit("/", 1)[-1]: size for name, size in sizes().items()}
    without = {name: size for name, size in weights.items() if "plotly" not in name}
    assert len(without) >= 4
    assert 10_000 < sum(without.values()) < HEAVIEST
