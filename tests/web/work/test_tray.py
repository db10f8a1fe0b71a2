"""In which order the tray of the board stands."""

from datetime import date
from typing import Any

import pytest

from faults.models import Job
from sites.kernel.engines.roles import Role
from tests import make, make_jobs
from tests.web.pages import open_page

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def test_the_tray_shows_the_most_urgent_then_what_waits_longest() -> None:
    june = [date(2025, 6, day) for day in range(1, 6)]
    place = make.place()

    def of_fault(reported: date, **given: Any) -> Job:
        fault = make.fault(reported_on=reported)
        return make_jobs.job(fault=fault, **given)

    no_day = make_jobs.job(property=place)
    after = make_jobs.job(property=place, due_on=june[3])
    young, old = of_fault(june[2]), of_fault(june[0])
    before = make_jobs.job(property=place, due_on=june[1])
    alike, sooner = of_fault(june[4]), of_fault(june[4], due_on=june[4])
    urgent = of_fault(june[4], priority=3)
    page = open_page(make.user(Role.DISPATCHER), "/moves/board/?day=2025-06-16")
    tray = [each.attributes["id"] for each in page.tree.find("article")]
    expected = [urgent, old, before, young, after, sooner, alike, no_day]
    assert tray == [f"job-{job.ref}" for job in expected]
    assert "then what has waited longest" in page.panel("tray")
