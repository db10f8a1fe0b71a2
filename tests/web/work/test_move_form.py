"""The form that moves a job, for who has no board before the eyes: how full the days are."""

from datetime import date, timedelta

import pytest

from faults.models import Crew
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_jobs
from tests.web.pages import open_page

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

MONDAY = date(2025, 6, 16)


@pytest.fixture
def dispatcher() -> User:
    """Who plans everything."""
    return make.user(Role.DISPATCHER)


@pytest.fixture
def crew() -> Crew:
    """Crew North, from 7 to 16 o'clock, with a member of skill 3."""
    return make_jobs.crew(make.user(Role.TECHNICIAN), name="North")


def test_who_moves_a_job_sees_how_full_the_days_are_and_takes_one(
    dispatcher: User, crew: Crew
) -> None:
    make_jobs.job(crew=crew, day=MONDAY, expected_minutes=90)
    make_jobs.job(crew=crew, day=MONDAY + timedelta(days=1), expected_minutes=600)
    job = make_jobs.job(earliest_on=MONDAY)
    page = open_page(dispatcher, f"/jobs/{job.ref}/board/move/?view=week")
    (row,) = page.rows("full")
    assert row[1].startswith("1.5 of 9 h")
    assert "too much" in row[2]
    (url,) = [url for words, url in page.links.items() if words.endswith(f"{crew.name} {MONDAY}")]
    taken = open_page(dispatcher, f"/jobs/{job.ref}/board/move/{url}")
    assert f'value="{crew.ref}" selected' in taken.html
    assert f'value="{MONDAY}"' in taken.html
    unknown = open_page(dispatcher, f"/jobs/{job.ref}/board/move/?to=nobody&on={MONDAY}")
    assert f'value="{MONDAY}"' not in unknown.html
