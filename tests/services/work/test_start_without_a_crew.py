"""A visit that no crew has: who is assigned to its fault may start it, and nobody else."""

from datetime import date, timedelta

import pytest

from faults.models import Assignment, Job
from faults.work.services import UnableToWork, start_job
from tests import make
from tests.services.work.scene import TODAY, Scene, planned

pytestmark = pytest.mark.django_db


def alone(scene: Scene, from_on: date, to_on: date | None = None) -> Job:
    """A job that no crew has, of a fault that is assigned to the tracer over these days."""
    job = planned(scene)
    assert job.fault
    job.fault.assignments.all().delete()
    Assignment.objects.create(fault=job.fault, user=scene.tracer, from_on=from_on, to_on=to_on)
    return job


def test_who_is_assigned_to_the_fault_needs_no_crew_to_start(scene: Scene) -> None:
    job = alone(scene, TODAY)
    start_job(job=job, at=make.NOW, today=TODAY, by=scene.tracer)
    job.refresh_from_db()
    assert (job.state, job.day, job.crew) == ("started", TODAY, None)


@pytest.mark.parametrize(
    ("from_days", "to_days"), [(1, None), (-9, 0), (-9, -1)], ids=["later", "ends today", "ended"]
)
def test_an_assignment_of_other_days_starts_nothing(
    scene: Scene, from_days: int, to_days: int | None
) -> None:
    to_on = None if to_days is None else TODAY + timedelta(days=to_days)
    job = alone(scene, TODAY + timedelta(days=from_days), to_on)
    with pytest.raises(UnableToWork, match="Ask the office"):
        start_job(job=job, at=make.NOW, today=TODAY, by=scene.tracer)


def test_nobody_else_starts_a_job_that_no_crew_has(scene: Scene) -> None:
    job = alone(scene, TODAY)
    with pytest.raises(UnableToWork, match="Nobody has this job"):
        start_job(job=job, at=make.NOW, today=TODAY, by=scene.technician)
