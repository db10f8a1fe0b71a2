"""Lines, photos and estimates of a job on its pages, and the file of all lines."""

import csv
from datetime import date
from decimal import Decimal
from io import BytesIO, StringIO
from typing import Any

import pytest
from django.urls import reverse
from openpyxl import load_workbook

from faults.models import Crew, Job, JobKind
from sites.models import Tariff, User
from tests import make, make_jobs
from tests.cast import Cast, Corner
from tests.web.fault_scene import TODAY
from tests.web.pages import Sheet, open_page, send, signed_in

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


@pytest.fixture
def line_of_ours(ours: Corner) -> Job:
    """A finished job with a line that costs 97.50."""
    Tariff.objects.create(
        property=ours.property, from_on=date(2025, 1, 1), labour_rate=Decimal("65.25")
    )
    job = make_jobs.job(fault=ours.fault, day=make.TODAY)
    make_jobs.line(job=job, what='=HYPERLINK("x")')
    return job


def test_prices_are_for_those_who_may_see_rates(cast: Cast, line_of_ours: Job) -> None:
    assert "97.50" in page(cast.dispatcher, line_of_ours).panel("lines")
    for person in (cast.technician, cast.tracer):
        told = page(person, line_of_ours).panel("lines")
        assert "1.5 h" in told
        assert "65" not in told
        assert "97.50" not in told
        assert open_page(person, url("job_lines")).status == 403


def test_a_technicians_line_takes_the_rate_that_it_does_not_see(
    cast: Cast, line_of_ours: Job
) -> None:
    adding = url("job_line_add", line_of_ours.ref)
    assert "65.25" not in open_page(cast.technician, adding).html
    assert open_page(cast.dispatcher, adding).value("unit_price") == "65.25"
    fields = {"kind": "time", "on": TODAY, "what": "trip", "quantity": 2, "unit": "h"}
    sheet = send(cast.technician, adding, **fields, basis="warranty")
    assert sheet.messages == ["The line is kept: trip."]
    assert line_of_ours.lines.get(what="trip").unit_price == Decimal("65.25")
    assert "130.50" in page(cast.owner, line_of_ours).panel("lines")


def test_a_line_is_corrected_struck_out_and_put_back(cast: Cast, line_of_ours: Job) -> None:
    line = line_of_ours.lines.get()
    form = open_page(cast.dispatcher, url("job_line_correct", line.pk))
    assert (form.value("quantity"), form.value("unit_price")) == ("1.5", "65")
    sheet = send(cast.dispatcher, url("job_line_remove", line.pk), why="twice")
    assert "Struck out" in sheet.messages[0]
    assert "97.50" not in page(cast.dispatcher, line_of_ours).panel("lines")
    send(cast.dispatcher, url("job_line_put_back", line.pk))
    assert "97.50" in page(cast.dispatcher, line_of_ours).panel("lines")


def test_the_lines_of_a_period_leave_as_a_file_that_runs_no_formula(
    cast: Cast, line_of_ours: Job
) -> None:
    make_jobs.line(job=line_of_ours, on=date(2025, 1, 2))
    struck = make_jobs.line(job=line_of_ours, removed_on=make.TODAY)
    answer: Any = signed_in(cast.owner).get(url("job_lines"), {"since": TODAY, "export": "csv"})
    text = b"".join(answer.streaming_content).decode("utf-8-sig")
    heads, *rows = csv.reader(StringIO(text))
    assert heads[:4] == ["Day", "Property", "Client", "Job"]
    (row,) = rows
    told = dict(zip(heads, row, strict=True))
    assert (told["Day"], told["Property"], told["Job"]) == (
        TODAY,
        "marigold-park",
        line_of_ours.ref,
    )
    assert (told["Quantity"], told["Unit"], told["Amount"]) == ("1.5", "h", "97.5")
    assert told["What"].startswith("'=")
    assert struck.removed_on


def test_the_lines_leave_as_a_workbook_with_numbers(cast: Cast, line_of_ours: Job) -> None:
    answer: Any = signed_in(cast.owner).get(url("job_lines"), {"export": "xlsx"})
    sheet = load_workbook(BytesIO(b"".join(answer.streaming_content))).worksheets[0]
    heads, row = list(sheet.iter_rows(values_only=True))
    told = dict(zip(heads, row, strict=True))
    assert (told["Quantity"], told["Price per unit"], told["Amount"]) == (1.5, 65, 97.5)


def test_a_photo_of_a_job_is_added_and_hidden(cast: Cast, ours: Corner) -> None:
    job = make_jobs.job(fault=ours.fault)
    adding = url("job_photo_add", job.ref)
    sheet = send(cast.technician, adding, camera=make.picture_file(), caption="box 4")
    assert "box 4" in sheet.panel("photos")
    photo = job.photos.get()
    send(cast.technician, url("job_photo_hide", photo.ref))
    assert "1 hidden photo" in page(cast.technician, job).panel("photos")
    assert open_page(cast.client_user, url("job_photo", photo.ref)).status == 403
    sheet = send(cast.technician, url("job_photo_show", photo.ref))
    assert sheet.messages == ["The photo is shown again."]


def test_the_estimate_is_a_range_whose_money_only_some_see(cast: Cast, line_of_ours: Job) -> None:
    line_of_ours.kind = JobKind.DIG
    line_of_ours.save()
    asked = url("job_estimate", line_of_ours.ref)
    hole = "?length_ft=3&width_in=24&depth_in=18&ground=firm"
    told = open_page(cast.dispatcher, asked + hole).panel("found")
    assert "0.59 – 0.93 h" in told
    assert "65.25" in told
    assert "65.25" not in open_page(cast.technician, asked + hole).panel("found")
    assert "No figure" in open_page(cast.owner, asked + hole.replace("firm", "rock")).words
    assert open_page(cast.owner, asked + "?length_ft=0&width_in=1&depth_in=1").status == 422
