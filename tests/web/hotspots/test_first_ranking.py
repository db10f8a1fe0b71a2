"""A ranking of so much that a page cannot wait for it is made in the background."""

from datetime import date, timedelta

import pytest
import time_machine

from reports.hotspots.services.evidence import MOST_AT_ONCE
from sites.kernel.engines.roles import Role
from sites.models import Run
from sites.runs.services import execute_run
from tests import make
from tests.services.hotspots.trunk import trunk
from tests.web.pages import open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

WAITING = {"HX-Request": "true", "HX-Target": "made"}
RANKED = "1 of 12 legs fails more than chance makes it"


@pytest.mark.parametrize("more", [MOST_AT_ONCE - 1, MOST_AT_ONCE])
def test_what_takes_long_is_made_in_the_background_and_then_shows(more: int) -> None:
    owner, line = make.user(Role.OWNER), trunk((100.0,) * 12)
    for n in range(8):
        line.struck(line.legs[2], date(2021 + n // 3, 2 + n, 3))
    for _ in range(more):
        make.place(client=line.place.client)
    page = open_page(owner, "/hotspots/")
    if more < MOST_AT_ONCE:
        assert (page.heading, Run.objects.count()) == (RANKED, 0)
        return
    assert page.heading == "The ranking is being worked out"
    assert open_page(owner, f"/hotspots/legs/{line.legs[2].ref}/").heading == page.heading
    run = Run.objects.get()
    part = signed_in(owner).get("/hotspots/", headers=WAITING)
    assert part.content.decode().startswith('<section class="panel" id="made"')
    execute_run(run.pk)
    run.refresh_from_db()
    assert (run.state, run.result["made"]) == ("done", 3 * (more + 1))  # home, hotspots, reports
    done = signed_in(owner).get("/hotspots/", headers=WAITING)
    assert done.headers["HX-Refresh"] == "true"
    assert open_page(owner, "/hotspots/").heading == RANKED


def test_a_run_that_failed_is_not_started_again_each_second() -> None:
    owner = make.user(Role.OWNER)
    for _ in range(MOST_AT_ONCE + 1):
        make.place()
    with time_machine.travel(make.NOW, tick=False) as clock:
        open_page(owner, "/hotspots/")
        Run.objects.update(state="failed", ended_at=make.NOW)
        for seconds, runs in ((59, 1), (60, 2)):
            clock.move_to(make.NOW + timedelta(seconds=seconds))
            open_page(owner, "/hotspots/")
            assert Run.objects.count() == runs
