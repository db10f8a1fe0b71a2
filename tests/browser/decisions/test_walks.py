"""Two walks in a real browser: an owner to a kept decision, a manager from hours to the board."""

from datetime import date, timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from faults.models import Job, JobState
from faults.prices.engines.pricing import Charge
from reports.models import Choice, Decision, RenewalCosts
from sites.kernel.engines.roles import Role
from tests import make, make_prices, make_water
from tests.services.hotspots.trunk import Trunk, trunk
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service

HOURS = "16"


@pytest.fixture
def line(site_url: str) -> Trunk:
    """Twelve legs, of which the third was struck eight times, and what renewing them costs."""
    made = trunk((100.0,) * 12)
    for n in range(8):
        made.struck(made.legs[2], date(2021 + n // 3, 2 + n, 3))
    RenewalCosts.objects.create(property=None, per_foot=10, fixed=200, kept_on=timezone.localdate())
    return made


def test_an_owner_comes_from_home_to_a_kept_decision_in_five_clicks(
    page: Page, site_url: str, line: Trunk
) -> None:
    owner = make.user(Role.OWNER)
    sign_in(page.context, owner, site_url)
    page.goto(site_url)
    heading = page.get_by_role("heading", level=1)
    page.get_by_role("navigation", name="Main").get_by_role("link", name="Hotspots").click()
    page.get_by_role("link", name="Which to renew first").click()
    page.get_by_label("Cost of one fault").fill("1000")
    page.get_by_role("button", name="Work it out").click()
    expect(heading).to_contain_text("Renew this one leg")
    page.get_by_role("region", name="The set").get_by_role("link", name="Decide T-3").click()
    expect(heading).to_contain_text("Decide on leg T-3")
    expect(page.get_by_label("Decided")).to_have_value(Choice.RENEW)
    page.get_by_label("Why").fill("it was struck eight times")
    page.get_by_role("button", name="Keep the decision").click()
    expect(page.get_by_role("region", name="They stand")).to_contain_text(
        "it was struck eight times"
    )
    kept = Decision.objects.get()
    assert (kept.leg, kept.choice, kept.decided_by) == (line.legs[2], Choice.RENEW, owner)
    assert kept.chance_pays is not None


def test_a_manager_asks_for_sixteen_hours_and_sends_the_set_to_the_board(
    page: Page, site_url: str
) -> None:
    make_water.climate()
    place = make.place(climate_table="Valley")
    make_water.tariff(place)
    make_prices.price_list({Charge.TRACING: 60})
    today = timezone.localdate()
    lawn = make_water.lawn(place, on=today - timedelta(days=90))
    sign_in(page.context, make.user(Role.WATER_MANAGER), site_url)
    page.goto(site_url)
    page.get_by_role("link", name="Which to bring back first").click()
    page.get_by_label("Crew hours").fill(HOURS)
    page.get_by_label("Savings count until").fill(str(today + timedelta(days=300)))
    page.get_by_role("button", name="Choose the stations").click()
    heading = page.get_by_role("heading", level=1)
    expect(heading).to_contain_text("Bring this one station back first", timeout=60_000)
    expect(page.locator(".lead")).to_contain_text(f"of {HOURS} crew hours")
    page.get_by_role("button", name="Send what is ticked to the tray").click()
    expect(page.get_by_text("1 visit lies in the tray of Crews and days.")).to_be_visible()
    page.get_by_role("main").get_by_role("link", name="Crews and days").first.click()
    job = Job.objects.get()
    assert (list(job.stations.all()), job.state) == ([lawn], JobState.PLANNED)
    expect(page.locator(f'[href*="{job.ref}"]').first).to_be_visible()
