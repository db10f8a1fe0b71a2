"""Finished and unbilled work on its pages: ticked, given, taken as a file, taken back."""

import csv
import json
from datetime import date
from decimal import Decimal
from io import BytesIO, StringIO
from typing import Any

import pytest
from django.urls import reverse
from openpyxl import load_workbook

from faults.models import BookBatch, Job, JobLine, LineBasis
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_billing, make_jobs, make_prices
from tests.cast import Cast, Corner
from tests.web.fault_scene import TODAY
from tests.web.pages import Sheet, open_page, send, signed_in
from tests.web.test_query_counts import asked_by

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def url(name: str, *args: Any, **query: str) -> str:
    """The address of a page of billing."""
    asked = "&".join(f"{key}={value}" for key, value in query.items())
    return reverse(f"faults:{name}", args=args) + (f"?{asked}" if asked else "")


@pytest.fixture
def job(ours: Corner) -> Job:
    """A finished visit to our fault, priced in USD."""
    make_prices.price_list()
    return make_billing.done(fault=ours.fault)


@pytest.fixture
def lines(job: Job) -> list[JobLine]:
    """Two lines, one of them under warranty."""
    return [
        make_billing.line(job=job, what="=tracing"),
        make_billing.line(job=job, what="again", basis=LineBasis.WARRANTY),
    ]


def ticked(user: User, *rows: JobLine, **form: Any) -> Sheet:
    """Send the ticks of the list, and what the page that follows asks."""
    answer = signed_in(user).post(
        url("unbilled_many"), {"act": "give", "rows": [str(row.pk) for row in rows]}
    )
    return send(user, answer.headers["Location"], **{"given_on": TODAY, **form})


def test_ticked_lines_become_a_batch_with_its_files(
    cast: Cast, lines: list[JobLine], ours: Corner
) -> None:
    sheet = open_page(cast.dispatcher, url("unbilled"))
    assert "97.50 USD" in sheet.words
    assert "warranty" in sheet.words
    send(cast.dispatcher, url("fault_order", ours.fault.ref), order_number="PO 7")
    sheet = ticked(cast.dispatcher, *lines)
    batch = BookBatch.objects.get()
    assert sheet.messages == [f"Batch {batch.pk} is made. Take its file into your books."]
    assert "97.50 USD" in sheet.words
    empty = "No line of finished work waits to be given to the books."
    assert empty in open_page(cast.dispatcher, url("unbilled")).words
    browser = signed_in(cast.dispatcher)
    answer: Any = browser.get(url("batch", batch.ref, export="csv"))
    heads, *rows = csv.reader(StringIO(b"".join(answer.streaming_content).decode("utf-8-sig")))
    told = [dict(zip(heads, row, strict=True)) for row in rows]
    assert [(each["Line"], each["Charged"]) for each in told] == [
        (str(lines[0].pk), "97.5"),
        (str(lines[1].pk), "0"),
    ]
    assert told[0]["What"].startswith("'=")
    assert {each["The client's order number"] for each in told} == {"PO 7"}
    workbook: Any = browser.get(url("batch", batch.ref, export="xlsx"))
    sheet_of_it = load_workbook(BytesIO(b"".join(workbook.streaming_content))).worksheets[0]
    assert sheet_of_it.max_row == 3
    plain = json.loads(browser.get(url("batch", batch.ref, export="json")).content)
    assert plain["charged"] == [{"currency": "USD", "amount": "97.50"}]
    assert [each["line"] for each in plain["lines"]] == [line.pk for line in lines]
    assert (plain["given_to_the_books_on"], plain["taken_back_on"]) == (TODAY, None)


def test_a_batch_is_taken_back_stays_in_the_list_and_its_lines_come_back(
    cast: Cast, lines: list[JobLine]
) -> None:
    ticked(cast.owner, lines[0])
    batch = BookBatch.objects.get()
    told = send(cast.owner, url("job_line_correct", lines[0].pk), why="more", **_line(lines[0]))
    assert "Take that batch back first, or add a new line" in " ".join(told.errors)
    sheet = send(cast.owner, url("batch_take_back", batch.ref), why="wrong month")
    assert "Taken back on 2025-06-15: wrong month" in sheet.words
    assert "wrong month" in open_page(cast.owner, url("batches")).words
    assert "=tracing" in open_page(cast.owner, url("unbilled")).words
    plain = json.loads(signed_in(cast.owner).get(url("batch", batch.ref, export="json")).content)
    assert plain["taken_back_on"] == TODAY


def _line(line: JobLine) -> dict[str, Any]:
    fields = {"kind": "time", "on": TODAY, "what": "x", "quantity": "3", "unit": "h"}
    return {**fields, "basis": "billable", "unit_price": "65"}


def test_what_was_given_meanwhile_is_said_and_nothing_is_given(
    cast: Cast, lines: list[JobLine]
) -> None:
    asked = url("batch_give", rows="+".join(str(line.pk) for line in lines))
    make_billing.batch(lines[0], by=cast.owner, today=date(2025, 6, 15))
    sheet = send(cast.dispatcher, asked, given_on=TODAY)
    assert "was given to the books on" in " ".join(sheet.errors)
    assert BookBatch.objects.count() == 1


def test_who_is_limited_to_one_client_gives_and_sees_only_its_lines(
    cast: Cast, lines: list[JobLine]
) -> None:
    other = make_billing.line()
    mixed = make_billing.batch(lines[0], other, by=cast.owner)
    own = make_billing.batch(lines[1], by=cast.owner)
    limited = make.user(Role.WATER_MANAGER, client=lines[0].job.property.client)
    assert open_page(limited, url("batch", mixed.ref)).status == 404
    assert open_page(limited, url("batch", own.ref)).status == 200
    assert send(limited, url("batch_give", rows=str(other.pk)), given_on=TODAY).errors
    for person in (cast.technician, cast.tracer, cast.client_user):
        for name, args in (("unbilled", []), ("batches", []), ("batch", [own.ref])):
            assert open_page(person, url(name, *args)).status == 403


# Who asks, 3; clients and properties to filter by; the sums; how many, keys, rows; stations of
# visits and of faults; whether the register is empty; views kept.
@pytest.mark.parametrize(("name", "most"), [("unbilled", 13), ("batches", 9), ("batch", 7)])
def test_a_page_of_billing_asks_as_often_for_thirty_rows_as_for_three(
    cast: Cast, ours: Corner, name: str, most: int
) -> None:
    counts = []
    for count in (3, 30):
        for _ in range(count):
            job = make_billing.done(fault=ours.fault, stations=[ours.off_central])
            make_billing.line(job=job)
            make_billing.batch(make_billing.line(job=job))
        batch = make_billing.batch(*(make_billing.line(job=job) for _ in range(count)))
        args = [batch.ref] if name == "batch" else []
        counts.append(asked_by(cast.dispatcher, url(name, *args)))
    assert counts[0] == counts[1]
    assert counts[0] <= most


def test_the_faults_page_says_what_of_its_money_is_given(cast: Cast, lines: list[JobLine]) -> None:
    make_billing.batch(lines[0], by=cast.owner)
    fault = lines[0].job.fault
    assert fault is not None
    told = open_page(cast.owner, reverse("faults:fault", args=[fault.ref])).panel("jobs")
    assert "Of that 97.50 USD is given to the books." in told
    assert make_jobs.line().amount == Decimal("97.50")


def test_what_it_earned_is_a_picture_a_table_and_a_file(cast: Cast, lines: list[JobLine]) -> None:
    make_billing.batch(lines[0], by=cast.owner)
    sheet = open_page(cast.dispatcher, url("earnings"))
    assert "Quoted, spent and billed, USD" in sheet.words
    assert "97.50" in sheet.words
    assert 'id="earned-figure-0"' in sheet.html
    answer: Any = signed_in(cast.dispatcher).get(url("earnings", by="kind", export="csv"))
    heads, row = csv.reader(StringIO(b"".join(answer.streaming_content).decode("utf-8-sig")))
    told = dict(zip(heads, row, strict=True))
    assert (told["Kind of job"], told["Currency"], told["Billed"]) == ("locate", "USD", "97.5")
    wrong = open_page(cast.dispatcher, url("earnings", since="2025-06-02", until="2025-06-01"))
    assert "It ends before it begins." in wrong.words
    for person in (cast.technician, cast.client_user):
        assert open_page(person, url("earnings")).status == 403


def test_what_it_earned_asks_as_often_for_thirty_visits_as_for_three(
    cast: Cast, ours: Corner
) -> None:
    counts = []
    for count in (3, 30):
        for _ in range(count):
            case = make.fault(ours.off_central)
            make.break_found(fault=case)
            make_billing.line(job=make_billing.done(fault=case))
        counts.append(asked_by(cast.dispatcher, url("earnings", by="cause")))
    assert counts[0] == counts[1]
    assert counts[0] <= 12


def test_a_given_line_says_so_on_its_visit_and_offers_no_correction(
    cast: Cast, lines: list[JobLine]
) -> None:
    batch = make_billing.batch(lines[0], by=cast.owner)
    job = reverse("faults:job", args=[lines[0].job.ref])
    for person, links in ((cast.owner, 1), (cast.technician, 0)):
        sheet = open_page(person, job)
        assert "given to the books 2025-06-15" in sheet.panel("lines")
        assert sheet.html.count(reverse("faults:batch", args=[batch.ref])) == links
        assert reverse("faults:job_line_correct", args=[lines[0].pk]) not in sheet.html
        assert reverse("faults:job_line_correct", args=[lines[1].pk]) in sheet.html
    assert "2025-06-15" in open_page(cast.owner, reverse("faults:job_lines")).words


def test_a_finished_visit_without_a_line_is_listed(cast: Cast, lines: list[JobLine]) -> None:
    bare = make_billing.done(fault=lines[0].job.fault)
    struck = make_billing.done(fault=lines[0].job.fault)
    make_billing.line(job=struck, removed_on=make.TODAY)
    asked = reverse("faults:jobs") + "?state=done&lines=none"
    assert asked.replace("&", "&amp;") in open_page(cast.owner, url("unbilled")).html
    html = open_page(cast.owner, asked).html
    assert (bare.ref in html, struck.ref in html) == (True, True)
    assert lines[0].job.ref not in html
