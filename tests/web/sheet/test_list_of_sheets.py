"""The list of job sheets reads as the board does: by day, and on it by the clock."""

import re
from datetime import date, time, timedelta

import pytest
from django.utils import timezone

from faults.work.queries.board import jobs_on_board
from sites.models import User
from tests import make, make_jobs
from tests.cast import Cast, Corner
from tests.web.pages import signed_in

pytestmark = pytest.mark.django_db


def told(user: User) -> str:
    """Return the list as one line of text."""
    page = signed_in(user).get("/sheets/").content.decode()
    return " ".join(re.sub("<[^>]+>", " ", page).split())


def test_a_visit_without_an_hour_comes_after_those_with_one_as_on_the_board(
    cast: Cast, ours: Corner
) -> None:
    # Common practice, no source: who is expected at eight is driven to first.
    today, crew = timezone.localdate(), make_jobs.crew(cast.technician)
    untimed, late, early, urgent = (
        make_jobs.job(fault=ours.fault, crew=crew, day=today, starts_at=at, priority=priority)
        for at, priority in ((None, 2), (time(13), 2), (time(8), 2), (None, 3))
    )
    tomorrow = make_jobs.job(fault=ours.fault, crew=crew, day=today + timedelta(days=1))
    kept = signed_in(cast.technician).get("/sheets/").context["sheets"]
    assert kept == [early, late, urgent, untimed, tomorrow]
    assert kept == jobs_on_board(cast.dispatcher, [today, today + timedelta(days=1)])


def test_each_day_has_a_heading_with_its_weekday(cast: Cast, ours: Corner) -> None:
    today, crew = timezone.localdate(), make_jobs.crew(cast.technician)
    for day, starts_at in ((0, time(8)), (0, None), (2, time(9, 30))):
        on = today + timedelta(days=day)
        make_jobs.job(fault=ours.fault, crew=crew, day=on, starts_at=starts_at)
    text = told(cast.technician)
    later = today + timedelta(days=2)
    assert text.count(f"Today, {_named(today)}") == 1
    assert text.count(_named(later)) == 1
    assert text.index("08:00, planned") < text.index("no time set, planned")
    assert text.index(_named(later)) < text.index("09:30, planned")
    # How far it reaches: the fourteenth day after today.
    assert f"until {today + timedelta(days=14)}" in text


def _named(day: date) -> str:
    return f"{day:%A} {day.isoformat()}"


@pytest.mark.parametrize(
    ("stations", "heading"),
    [
        (1, "Locate: {f}, A:1"),
        (2, "Locate: {f}, A:1, A:2"),
        (4, "Locate: {f}, A:1, A:2 and 2 more"),
    ],
)
def test_the_heading_says_which_stations_it_is_about(
    cast: Cast, stations: int, heading: str
) -> None:
    clock = make.controller(name="A")
    several = [make.station(controller=clock, number=n + 1) for n in range(stations)]
    fault = make.fault(*several)
    job = make_jobs.job(fault=fault)
    page = signed_in(cast.technician).get(f"/jobs/{job.ref}/sheet/").content.decode()
    assert f"<h1>{heading.format(f=fault)}</h1>" in page
