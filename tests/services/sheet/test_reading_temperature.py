"""A reading from a phone may say how warm the ground was, in the property's units."""

import pytest

from faults.models import Job, Reading
from sites.models import User
from tests import make, make_jobs
from tests.cast import Cast, Corner
from tests.services.sheet.sending import answers, send, thing

pytestmark = pytest.mark.django_db


@pytest.fixture
def tessa(cast: Cast) -> User:
    """The technician, in a crew."""
    make_jobs.crew(cast.technician, name="North")
    return cast.technician


@pytest.fixture
def job(ours: Corner, tessa: User) -> Job:
    """Her visit of today to our fault."""
    crew = make_jobs.Crew.objects.get(name="North")
    return make_jobs.job(fault=ours.fault, crew=crew, day=make.TODAY)


@pytest.mark.parametrize(
    ("units", "typed", "kept"), [("US", 77, 77.0), ("metric", 25, 77.0), ("US", None, None)]
)
def test_it_is_kept_in_degrees_fahrenheit(
    job: Job, tessa: User, units: str, typed: float | None, kept: float | None
) -> None:
    job.property.units = units
    job.property.save()
    assert job.fault is not None
    said = {} if typed is None else {"temperature": typed}
    station = job.fault.stations.get().station_id
    rows = send(
        tessa,
        thing(job, "start"),
        thing(job, "reading", kind="ohms", station=station, value=24, minute=1, **said),
    )
    assert answers(rows) == ["accepted"] * 2
    found = Reading.objects.get(taken_by=str(tessa)).temperature_f
    assert found == (None if kept is None else pytest.approx(kept))
