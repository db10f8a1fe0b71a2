"""Rounds on their pages: made, planned, sent, walked, left, and the dated list with its files."""

import csv
from io import BytesIO, StringIO
from typing import Any

import pytest
from django.urls import reverse
from openpyxl import load_workbook

from faults.models import Job, Round, WalkNote
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_jobs, make_rounds
from tests.cast import Cast, Corner
from tests.web.fault_scene import TODAY
from tests.web.pages import Sheet, open_page, send, signed_in
from tests.web.test_query_counts import asked_by

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def url(name: str, *args: Any, **query: str) -> str:
    """The address of a page of rounds."""
    asked = "&".join(f"{key}={value}" for key, value in query.items())
    return reverse(f"faults:{name}", args=args) + (f"?{asked}" if asked else "")


def places_in(sheet: Sheet) -> str:
    """What stands in the field of properties."""
    (field,) = sheet.tree.find("textarea", name="places")
    return field.words


def made(user: User, **given: Any) -> Round:
    """Make a round by its form."""
    told = {
        "name": "Spring",
        "purpose": "station walk",
        "repeats": "once",
        "starts_on": TODAY,
        "unit": "months",
        "days_before": 0,
        "within_days": 14,
        **given,
    }
    sheet = send(user, url("round_add"), **told)
    assert sheet.messages == [
        "Made. Its visits are planned as their days come near, or by the button below."
    ], sheet.words
    return Round.objects.latest("pk")


def test_a_round_goes_from_its_form_to_the_last_station(cast: Cast, ours: Corner) -> None:
    code = ours.property.code
    assert code in places_in(open_page(cast.dispatcher, url("round_add")))
    one = made(cast.dispatcher, places=f"{code}: marigold clock:1-2", minutes_each=15)
    sheet = open_page(cast.dispatcher, url("round", one.ref))
    assert "No visit of it is planned yet" in sheet.words
    sheet = send(cast.dispatcher, url("round_plan", one.ref), until=TODAY)
    assert sheet.messages == ["1 visit planned."]
    assert "0 of 2, 0 %" in sheet.words
    crew = make_jobs.crew(cast.technician, name="North")
    told = {"crew": crew.ref, "first_day": "2025-06-16"}
    sheet = send(cast.dispatcher, url("round_send", one.ref), **told)
    assert sheet.messages == ["1 visit has a crew now."]
    assert "North" in sheet.words
    job = Job.objects.get(round_visit__round=one)
    assert (job.crew, job.expected_minutes) == (crew, 30)
    WalkNote.objects.create(station=ours.on_central, seen_on=make.TODAY, result="works")
    assert "1 of 2, 50 %" in open_page(cast.dispatcher, url("round", one.ref)).words
    page = open_page(cast.technician, url("job_progress", job.ref))
    assert page.links["Leave one out"] == url("job_leave", job.ref)
    left = {"thing": f"station-{ours.off_central.pk}", "why": "other", "note": "", "on": TODAY}
    refused = send(cast.technician, url("job_leave", job.ref), **left)
    assert "Say in a few words why it is left." in refused.words
    sheet = send(cast.technician, url("job_leave", job.ref), **{**left, "note": "a wasps' nest"})
    assert sheet.messages[0].startswith("Kept: ")
    shown = open_page(cast.dispatcher, url("round", one.ref))
    assert "a wasps&#x27; nest" in shown.html
    assert "What is done and what is left" in open_page(cast.dispatcher, url("job", job.ref)).words


def test_lines_that_cannot_be_read_come_back_as_they_were_typed(cast: Cast, ours: Corner) -> None:
    told = {"name": "X", "purpose": "station walk", "repeats": "interval", "starts_on": TODAY}
    told |= {"unit": "months", "days_before": "0", "within_days": "14"}
    for places, words in [
        ("Nowhere", "“Nowhere” is no property in care"),
        (f"{ours.property.code}: B:99", ours.property.code),
        (f"{ours.property.code}\n{ours.property.code}", "named twice"),
    ]:
        sheet = send(cast.dispatcher, url("round_add"), **told, every="1", places=places)
        assert sheet.status == 422
        assert words in sheet.words
        assert places_in(sheet) == " ".join(places.split())
    sheet = send(cast.dispatcher, url("round_add"), **told, places=ours.property.code)
    assert "Every how many?" in sheet.words
    assert not Round.objects.exists()


def test_a_round_is_changed_ended_and_goes_on(cast: Cast, ours: Corner) -> None:
    one = made(
        cast.dispatcher, places=ours.property.code, repeats="interval", every=6, unit="months"
    )
    assert one.rule == "FREQ=MONTHLY;INTERVAL=6"
    form = open_page(cast.dispatcher, url("round_change", one.ref))
    assert (form.value("every"), places_in(form)) == ("6", ours.property.code)
    assert "every 6 months" in open_page(cast.dispatcher, url("rounds")).words
    send(cast.dispatcher, url("round_end", one.ref), why="sold")
    sheet = open_page(cast.dispatcher, url("round", one.ref))
    assert "sold. No more visits are planned." in sheet.words
    assert "Plan its visits" not in sheet.links
    send(cast.dispatcher, url("round_go_on", one.ref))
    assert "Plan its visits" in open_page(cast.dispatcher, url("round", one.ref)).links


def test_who_plans_for_one_client_sees_and_changes_no_more(
    cast: Cast, ours: Corner, theirs: Corner
) -> None:
    limited = make.user(Role.DISPATCHER, client=ours.property.client)
    both = make_rounds.round_over(ours.property, theirs.property, by=cast.dispatcher)
    make_rounds.planned(both)
    sheet = open_page(limited, url("round", both.ref))
    assert theirs.property.code not in sheet.html
    assert "Change it" not in sheet.links
    assert open_page(limited, url("round_change", both.ref)).status == 404
    assert theirs.property.code not in open_page(limited, url("round_dates")).html
    alone = make_rounds.round_over(theirs.property, by=cast.dispatcher, name="Theirs")
    assert open_page(limited, url("round", alone.ref)).status == 404
    assert "Theirs" not in open_page(limited, url("rounds")).html
    assert open_page(cast.tracer, url("round", both.ref)).status == 403
    assert open_page(cast.client_user, url("rounds")).status == 403


def test_the_dated_list_prints_and_goes_out_as_files(
    cast: Cast, ours: Corner, theirs: Corner
) -> None:
    both = make_rounds.round_over(ours.property, theirs.property, by=cast.dispatcher, name="=Walk")
    make_rounds.planned(both)
    client = ours.property.client
    sheet = open_page(cast.dispatcher, url("round_dates", client=client.ref))
    assert sheet.heading == f"Dates of rounds: {client}"
    assert "0 of 2, 0 %" in sheet.words
    assert theirs.property.code not in sheet.words
    answer = signed_in(cast.dispatcher).get(url("round_dates", client=client.ref, export="csv"))
    text = b"".join(answer.streaming_content).decode("utf-8-sig")
    head, row = csv.reader(StringIO(text))
    told = dict(zip(head, row, strict=True))
    assert told["Round"] == "'=Walk"
    assert (told["Due"], told["Done"], told["Of"]) == ("2025-06-29", "0", "2")
    answer = signed_in(cast.dispatcher).get(url("round_dates", export="xlsx"))
    book = load_workbook(BytesIO(b"".join(answer.streaming_content)))
    assert len(list(book.active.rows)) == 3
    wrong = open_page(cast.dispatcher, url("round_dates", since="2025-06-02", until="2025-06-01"))
    assert (wrong.status, "It ends before it begins." in wrong.words) == (422, True)
    assert (
        "Nothing is due"
        in open_page(
            cast.dispatcher, url("round_dates", since="2024-06-02", until="2024-06-03")
        ).words
    )


def test_pages_of_rounds_ask_as_little_for_ten_properties_as_for_two(cast: Cast) -> None:
    counts = []
    for total in (2, 10):
        places = [make.place() for _n in range(total)]
        for place in places:
            make.station(controller=make.controller(property=place))
        one = make_rounds.round_over(*places, by=cast.dispatcher, name=f"R{total}")
        make_rounds.planned(one)
        pages = (url("round", one.ref), url("round_dates", round=one.ref), url("rounds"))
        counts.append([asked_by(cast.dispatcher, page) for page in pages])
    assert counts[0] == counts[1]
    assert max(counts[0]) <= 25
