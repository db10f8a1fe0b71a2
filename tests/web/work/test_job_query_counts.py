"""Pages of jobs and crews ask the database as often for thirty rows as for three."""

from typing import Any

import pytest
from django.urls import reverse

from faults.models import Crew, Fault, Job, JobKind
from sites.models import User
from tests import make, make_jobs
from tests.cast import Cast, Corner
from tests.web.pages import Sheet, open_page
from tests.web.test_query_counts import asked_by

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def url(name: str, *args: Any) -> str:
    """The address of a page of jobs."""
    return reverse(f"faults:{name}", args=args)


def page(user: User, job: Job) -> Sheet:
    """Open the page of a job."""
    return open_page(user, url("job", job.ref))


@pytest.fixture
def crew(cast: Cast) -> Crew:
    """A crew of the technician and the tracer."""
    return make_jobs.crew(cast.technician, cast.tracer, name="North")


def _filled(fault: Fault, crew: Crew, count: int) -> Job:
    """A job with this many of everything, and as many other jobs, crews and lines."""
    clock = make.controller(property=fault.property)
    stations = [make.station(controller=clock) for _ in range(count)]
    devices = [make.device(property=fault.property) for _ in range(count)]
    job = make_jobs.job(
        fault=fault,
        crew=crew,
        day=make.TODAY,
        kind=JobKind.DIG,
        planned_depth_in=60,
        stations=stations,
        devices=devices,
    )
    for _ in range(count):
        make_jobs.line(job=job)
        make_jobs.job_photo(job=job)
        make_jobs.member(crew=make_jobs.crew(), user=make.user())
        make_jobs.member(crew=crew, user=make.user(), to_on=make.TODAY)
        make_jobs.line(job=make_jobs.job(crew=crew, day=make.TODAY))
        make_jobs.job(fault=fault, split_from=job, crew=crew, day=make.TODAY)
    return job


# Session, user and grants; then what each page shows.
QUERIES = {
    "jobs": 10,  # crews and properties to filter by; how many, their keys, the rows; views kept
    "job_lines": 10,  # clients and properties to filter by; how many, keys, rows; views kept
    "crews": 5,  # crews with their skill, their people
    # Five say when crews work; two are the ticket and the rule: how near to a mark to dig by hand.
    # Two more are the locates that come before, and the stations that they name.
    "job": 35,
    "crew": 19,  # six say when crews work and who is not there; two as for one job
}


@pytest.mark.parametrize(("name", "most"), QUERIES.items())
def test_a_page_of_jobs_asks_as_often_for_thirty_rows_as_for_three(
    cast: Cast, ours: Corner, crew: Crew, name: str, most: int
) -> None:
    counts = []
    for count in (3, 30):
        job = _filled(ours.fault, crew, count)
        args = {"job": [job.ref], "crew": [crew.ref]}.get(name, [])
        counts.append(asked_by(cast.dispatcher, url(name, *args)))
    assert counts[0] == counts[1]
    assert counts[0] <= most
