"""A crew is ill at seven: the dispatcher asks for a rota again and takes a part of it over."""

from datetime import time, timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from faults.models import CrewAway
from sites.kernel.engines.roles import Role
from tests import make, make_jobs
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service


def test_by_keyboard_from_the_board_to_a_part_of_a_suggestion(page: Page, site_url: str) -> None:
    place = make.place(latitude=39.05, longitude=-95.0)
    north, south = (
        make_jobs.crew(
            make.user(Role.TECHNICIAN), name=name, yard_latitude=39.0, yard_longitude=-95.0
        )
        for name in ("North", "South")
    )
    day = timezone.localdate() + timedelta(days=1)
    while day.weekday() > 4:
        day += timedelta(days=1)
    ill = make_jobs.job(crew=south, day=day, starts_at=time(8), property=place)
    waiting = make_jobs.job(property=place)
    CrewAway.objects.create(crew=south, from_on=day, to_on=day + timedelta(days=14))
    sign_in(page.context, make.user(Role.DISPATCHER), site_url)

    page.goto(f"{site_url}/moves/board/")
    page.get_by_role("link", name="Suggest a rota").press("Enter")
    page.get_by_role("button", name="Find the best rota").press("Enter")
    expect(page.get_by_role("heading", name="Suggested rota")).to_be_visible(timeout=60_000)
    expect(page.get_by_text("Proven: no rota is better by these rules.")).to_be_visible()
    page.locator(f'input[value="{waiting.ref}"]').press("Space")
    page.get_by_role("button", name="Take over what is ticked").press("Enter")
    expect(page.get_by_text("1 job has its crew, day and time.")).to_be_visible()

    for job in (ill, waiting):
        job.refresh_from_db()
    assert (ill.crew, ill.starts_at is not None) == (north, True)
    assert (waiting.crew, waiting.day) == (None, None)
