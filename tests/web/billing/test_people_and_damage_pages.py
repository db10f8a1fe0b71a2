"""Who was there, lines that a visit asks for, and damage by others, on their pages."""

from datetime import UTC, datetime
from typing import Any

import pytest
from django.urls import reverse

from faults.models import Job, PersonThere
from faults.prices.engines.pricing import Charge
from tests import make, make_billing, make_jobs, make_prices
from tests.cast import Cast, Corner
from tests.web.fault_scene import TODAY
from tests.web.pages import open_page, send
from tests.web.test_query_counts import asked_by

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def url(name: str, *args: Any) -> str:
    """The address of a page."""
    return reverse(f"faults:{name}", args=args)


@pytest.fixture
def job(cast: Cast, ours: Corner) -> Job:
    """A visit of two people that took 180 minutes."""
    make_prices.price_list({Charge.TRACING: 65})
    return make_billing.done(
        fault=ours.fault,
        crew=make_jobs.crew(cast.technician, cast.tracer),
        started_at=datetime(2025, 6, 15, 8, tzinfo=UTC),
        actual_minutes=180,
    )


def test_two_people_are_six_hours_on_the_page_and_in_the_line(cast: Cast, job: Job) -> None:
    adding = url("people_add", job.ref)
    form = open_page(cast.technician, adding)
    assert "An earlier time is that of the next day" in form.words
    both = [cast.technician.pk, cast.tracer.pk]
    fields = {"did": "tracing", "on": TODAY, "starts": "08:00", "ends": "11:00", "others": ""}
    sheet = send(cast.technician, adding, people=both, **fields)
    assert sheet.messages == ["Kept. The visit's man-hours are the sum of its people."]
    assert "6.00 man-hours" in sheet.panel("people")
    assert "6 h tracing" in sheet.panel("lines")
    line = open_page(cast.owner, url("job_line_add", job.ref) + "?kind=time&charge=tracing")
    assert (line.value("quantity"), line.value("unit_price")) == ("6.00", "65")
    send(
        cast.owner, url("job_line_add", job.ref), kind="time", charge="tracing", on=TODAY,
        what="tracing", quantity="6", unit="h", unit_price="65", basis="billable",
    )  # fmt: skip
    assert "6 h tracing Make it a line" not in open_page(cast.owner, url("job", job.ref)).words
    again = open_page(cast.owner, url("job_line_add", job.ref))
    assert again.value("quantity") == ""
    told = send(cast.technician, adding, people=both, **fields)
    assert "already. Correct that" in " ".join(told.errors)


def test_a_person_is_corrected_struck_out_and_put_back(cast: Cast, job: Job) -> None:
    fields = {"did": "tracing", "on": TODAY, "starts": "08:00", "ends": "11:00"}
    send(cast.owner, url("people_add", job.ref), people=[], others="Pip, Kim", **fields)
    person = PersonThere.objects.get(name="Pip")
    correcting = url("person_correct", person.pk)
    assert open_page(cast.owner, correcting).value("starts") == "08:00"
    sheet = send(cast.owner, correcting, **{**fields, "starts": "10:00"}, why="came later")
    assert "4.00 man-hours" in sheet.panel("people")
    assert "1.00 man-hours" not in sheet.panel("people")
    sheet = send(cast.owner, url("person_remove", person.pk), why="was not there")
    assert "3.00 man-hours" in sheet.panel("people")
    sheet = send(cast.owner, url("person_put_back", person.pk))
    assert "4.00 man-hours" in sheet.panel("people")


def test_a_claim_is_opened_costs_its_lines_and_is_paid(cast: Cast, job: Job) -> None:
    make_jobs.line(job=job, basis="damage", what="new splice")
    fault = job.fault
    assert fault is not None
    fields = {"liable_party": "Trench and Sons", "claim_number": "C-1", "made_on": TODAY}
    # A list without rows says nothing above them: another fault's claim stands in it.
    make_billing.claim(fault=make.fault(fault.stations.get().station))
    forgotten = f"Lines for damage, but no claim: {fault}."
    assert forgotten in open_page(cast.dispatcher, url("claims")).words
    sheet = send(cast.dispatcher, url("claim_add", fault.ref), **fields, statement="Seen by Kim.")
    claim = fault.damage_claims.get()
    assert forgotten not in open_page(cast.dispatcher, url("claims")).words
    led_to = open_page(cast.dispatcher, url("claim_add", fault.ref))
    assert led_to.response.headers["Location"] == url("claim", claim.ref)
    assert "Damage by a third party" in open_page(cast.dispatcher, url("fault", fault.ref)).panel(
        "jobs"
    )
    assert "97.50 USD" in sheet.panel("about")
    assert "Seen by Kim." in sheet.panel("about")
    assert "new splice" in sheet.panel("lines")
    unpaid = url("claims") + "?state=unpaid"
    assert "C-1" in open_page(cast.dispatcher, unpaid).words
    send(cast.dispatcher, url("claim_paid", claim.ref), paid_on=TODAY)
    assert "C-1" not in open_page(cast.dispatcher, unpaid).words
    assert f"paid {TODAY}" in open_page(cast.dispatcher, url("claims")).words
    for person in (cast.technician, cast.client_user):
        assert open_page(person, url("claim", claim.ref)).status == 403


def test_the_list_of_claims_asks_as_often_for_thirty_rows_as_for_three(
    cast: Cast, ours: Corner
) -> None:
    counts = []
    for count in (3, 30):
        for _ in range(count):
            case = make.fault(ours.off_central)
            make_billing.claim(fault=case)
            make_billing.line(job=make_billing.done(fault=case), basis="damage")
        counts.append(asked_by(cast.dispatcher, url("claims")))
    assert counts[0] == counts[1]
    assert counts[0] <= 12
