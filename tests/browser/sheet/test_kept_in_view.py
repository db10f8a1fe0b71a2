"""What was kept stays in view: below its form, in the list of the sheet, on the parts of a look."""

import re
from collections.abc import Iterator

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, Locator, Page, expect

from faults.models import Break, Fault, Search, SearchReading
from sites.kernel.engines.roles import Role
from tests import make, make_jobs, make_searches
from tests.browser.sheet.test_page import open_sheet, sheet_of
from tests.services_real.chromium import sign_in
from tests.services_real.needs import wait_until

pytestmark = pytest.mark.service


@pytest.fixture
def page(browser: Browser, site_url: str) -> Iterator[Page]:
    """A phone at a visit that goes on, to a wire with one box."""
    tessa = make.user(Role.TECHNICIAN, username="tessa")
    job = make_jobs.job(
        fault=make_searches.way(200, 300, joints="s").fault,
        crew=make_jobs.crew(tessa),
        day=timezone.localdate(),
        state="started",
        started_at=timezone.now(),
    )
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, service_workers="block"
    )
    sign_in(context, tessa, site_url)
    yield open_sheet(context, site_url + sheet_of(job))
    context.close()


def go(page: Page, step: str) -> None:
    page.locator(".which-step select").select_option(step)


def recorded(page: Page) -> Locator:
    page.locator("summary", has_text="Recorded on this sheet").tap()
    return page.locator(".recorded").last


def test_a_kept_reading_stands_below_its_form_and_in_the_list(page: Page) -> None:
    go(page, "arrive")
    for typed in ("8.1", "8.4"):
        page.get_by_label("The meter shows").fill(typed)
        page.get_by_role("button", name="Keep this reading").tap()
        expect(page.locator("#toast")).to_contain_text(f"{typed} Ω")
    # The newest first, and the form is ready for the next one.
    expect(page.locator(".kept-here")).to_have_count(2)
    expect(page.locator(".kept-here").first).to_contain_text("8.4 Ω")
    expect(page.get_by_label("The meter shows")).to_have_value("")
    expect(page.locator(".kept-here", has_text="(sent)")).to_have_count(2)
    # When the phone has forgotten them, the sheet of the server says the same.
    page.reload()
    page.locator(".which-step select").wait_for()
    told = recorded(page)
    for typed in ("8.1", "8.4"):
        expect(told).to_contain_text(f"Ohms of this wire: {typed} Ω")


def test_a_kept_break_says_where_it_is_and_what_did_it(page: Page) -> None:
    go(page, "found")
    page.locator("#found-0-leg").select_option(index=1)
    page.get_by_label("Along the leg").fill("40")
    page.get_by_text("rodent", exact=True).tap()
    page.get_by_role("button", name="Keep this break").tap()
    kept = page.locator(".kept-here")
    expect(kept).to_contain_text("Along the leg 40 ft")
    expect(kept).to_contain_text("rodent")
    wait_until(lambda: Break.objects.count() == 1, what="the break")


def test_after_the_start_of_a_search_what_to_do_next_is_in_view(page: Page) -> None:
    go(page, "search")
    page.get_by_role("button", name="Start the search").tap()
    expect(page.locator("#do-next")).to_be_focused()
    expect(page.locator("#do-next")).to_be_in_viewport()
    expect(page.locator(".do-next .tap").first).to_be_in_viewport()


def test_the_phone_says_why_as_the_page_does(browser: Browser, page: Page, site_url: str) -> None:
    go(page, "search")
    page.get_by_role("button", name="Start the search").tap()
    expect(page.locator("#do-next")).to_be_in_viewport()
    # What is told beside the plan comes a moment after it.
    expect(page.locator(".why").nth(3)).to_have_text(re.compile(r"\w"))
    phone = page.locator(".why").all_text_contents()
    wait_until(lambda: Search.objects.count() == 1, what="the search")
    fault = Fault.objects.get()
    where = f"/faults/{fault.ref}/search/{fault.stations.get().station.ref}/"
    desk = browser.new_context(viewport={"width": 1280, "height": 900})
    sign_in(desk, make.user(Role.OWNER), site_url)
    other = desk.new_page()
    other.goto(site_url + where)
    office = other.locator(".why").all_text_contents()
    desk.close()
    # What it settles is said alike; where it lies the page knows better.
    lies = ("You stand there", "The box is still open", "from where you stand")
    said = [first for words in phone if not (first := words.split(";")[0]).endswith(lies)]
    assert said[0] == office[0].split(";")[0]
    assert set(said) <= {words.split(";")[0] for words in office}


def test_the_legs_that_the_search_believes_in_stand_first_where_the_break_was_found(
    page: Page,
) -> None:
    go(page, "found")
    expect(page.locator("#found-0-leg optgroup")).to_have_count(0)
    go(page, "search")
    page.get_by_role("button", name="Start the search").tap()
    expect(page.locator("#do-next")).to_be_in_viewport()
    go(page, "found")
    groups = page.locator("#found-0-leg optgroup")
    expect(groups.first).to_have_attribute("label", "likeliest by the search")
    lengths = groups.first.locator("option").all_inner_texts()
    # Nothing is known but their lengths: the longer leg is the likelier one.
    assert [words.rsplit(", ", 1)[1] for words in lengths] == ["300 ft", "200 ft"]
    expect(groups).to_have_count(1)
    page.locator("#found-0-leg").select_option(index=1)
    expect(page.get_by_label("Along the leg")).to_be_visible()


def test_the_parts_of_a_look_that_were_answered_are_marked(page: Page) -> None:
    go(page, "search")
    page.get_by_role("button", name="Start the search").tap()
    page.locator("summary", has_text="Another test").tap()
    page.locator("#other-other").select_option("check valve")
    look = page.locator("details.panel", has=page.locator("#other-other"))
    for name, other in (("coil is right", "coil is wrong"), ("no water", "gives water")):
        button = look.get_by_role("button", name=name)
        expect(button).to_have_attribute("aria-pressed", "false")
        button.tap()
        expect(button).to_have_attribute("aria-pressed", "true")
        expect(look.get_by_role("button", name=other)).to_have_attribute("aria-pressed", "false")
    wait_until(lambda: SearchReading.objects.count() == 2, what="both parts")
    expect(recorded(page)).to_contain_text("coil")
