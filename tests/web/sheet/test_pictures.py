"""Pictures on a sheet: open to whom the sheet is, as long as it shows them."""

from typing import Any

import pytest
from django.utils import timezone

from faults.models import Job
from faults.work.services.photos import hide_job_photo
from sites.kernel.engines.roles import Role
from tests import make, make_jobs
from tests.cast import Cast, Corner
from tests.web.pages import signed_in

pytestmark = pytest.mark.django_db


def visit_to(corner: Corner, **given: Any) -> Job:
    """A visit of today."""
    return make_jobs.job(**{"fault": corner.fault, "day": timezone.localdate(), **given})


def test_a_picture_is_open_to_whom_the_sheet_is_and_as_long_as_it_shows_it(
    cast: Cast, ours: Corner, theirs: Corner
) -> None:
    tessa, job, other = cast.technician, visit_to(ours), visit_to(theirs)
    marks = make_jobs.job_photo(job=job)
    url = f"/jobs/{job.ref}/sheet/photos/{marks.ref}/"
    data = signed_in(tessa).get(f"/jobs/{job.ref}/sheet/data/").json()
    step = next(step for step in data["steps"] if step["id"] == "there")
    assert [one["src"] for one in step["photos"]] == [url]
    answer = signed_in(tessa).get(url)
    assert (answer.status_code, answer.headers["Content-Type"]) == (200, "image/jpeg")
    # By the sheet of another visit, or to somebody who may not open this one.
    assert signed_in(tessa).get(url.replace(job.ref, other.ref)).status_code == 404
    assert signed_in(cast.client_user).get(url).status_code == 403
    own_only = make.user(Role.TECHNICIAN, property=theirs.property)
    assert signed_in(own_only).get(url).status_code == 404
    hide_job_photo(photo=marks, today=timezone.localdate())
    assert signed_in(tessa).get(url).status_code == 404


def test_the_tracer_of_a_fault_sees_its_pictures_and_no_others(cast: Cast, ours: Corner) -> None:
    tracer = signed_in(cast.tracer)
    # Assigned to the first of these faults alone.
    for fault, status in ((ours.fault, 200), (make.fault(ours.off_central), 404)):
        job = visit_to(ours, fault=fault)
        sheet = f"/jobs/{job.ref}/sheet/"
        picture = f"{sheet}photos/{make_jobs.job_photo(job=job).ref}/"
        assert [tracer.get(each).status_code for each in (sheet, picture)] == [status, status]
