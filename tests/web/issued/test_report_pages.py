"""Reports on pages: asked for, seen as a draft, issued, read by the client, marked when corrected.

The files that leave are those that were issued, byte for byte, and nobody else's.
"""

from collections.abc import Iterator
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from faults.models import Break, Cause, Fault
from reports.issued.services.files import PDF, XLSX
from reports.models import Draft, Report, ReportSeries
from sites.kernel.engines.roles import Role
from sites.kernel.services.verbs import as_one_change
from sites.models import Property, Run, User
from sites.runs.services import execute_run
from tests import make, make_reports
from tests.web.pages import open_page, signed_in

pytestmark = pytest.mark.django_db

ASK = {
    "kind": "property",
    "from_on": "2025-08-01",
    "until_on": "2025-10-31",
    "audience": "client",
    "language": "en",
    "units": "US",
    "paper": "letter",
}


@pytest.fixture(autouse=True)
def _in_november() -> Iterator[None]:
    """It is the day of `make_reports.AT`."""
    with time_machine.travel(make_reports.AT, tick=False):
        yield


@pytest.fixture
def place(db: None) -> Property:
    return make_reports.court()


@pytest.fixture
def owner(db: None) -> User:
    return make.user(Role.OWNER, first_name="Olive", last_name="Owner")


@pytest.fixture
def reader(place: Property) -> User:
    return make.user(Role.CLIENT, client=place.client, email="reader@example.com")


def runs_then(client: Client, answer: Any) -> Any:
    """Do the background run that an answer leads to, then follow to where it leads."""
    execute_run(Run.objects.order_by("-pk")[0].pk)
    return client.get(answer.url, follow=True)


def correct(place: Property) -> None:
    with as_one_change():
        one = Break.objects.get(fault__property=place)
        one.cause = Cause.SHOVEL
        one.save()


def test_from_the_question_over_the_draft_to_the_issued_report(
    place: Property, owner: User, reader: User
) -> None:
    client = signed_in(owner)
    form = client.get(f"/reports/ask/?place={place.ref}").content.decode()
    assert f'<option value="{place.ref}" selected>' in form
    # The last whole month before 3 November.
    assert 'value="2025-10-01"' in form
    assert 'value="2025-10-31"' in form
    answer = client.post("/reports/ask/", {**ASK, "place": place.ref})
    draft_page = runs_then(client, answer).content.decode()
    assert "A draft: nobody was given it yet." in draft_page
    draft = Draft.objects.get()
    assert client.get(f"/reports/drafts/{draft.ref}/pdf/").content[:5] == b"%PDF-"
    assert open_page(reader, f"/reports/drafts/{draft.ref}/").status == 403
    issued_page = runs_then(client, client.post(f"/reports/drafts/{draft.ref}/issue/"))
    report = Report.objects.get()
    assert issued_page.request["PATH_INFO"] == f"/reports/{report.ref}/"
    assert "R-00001, issued on 2025-11-03 by Olive Owner." in issued_page.content.decode()


def test_files_leave_byte_for_byte_also_after_a_correction(
    place: Property, owner: User, reader: User
) -> None:
    report = make_reports.issued(place, owner)
    kept = {file.name: bytes(file.content) for file in report.files.all()}
    correct(place)
    client = signed_in(reader)
    for kind, name in (("pdf", PDF), ("xlsx", XLSX)):
        answer = client.get(f"/reports/{report.ref}/{kind}/")
        assert answer.content == kept[name]
        assert f'filename="R-00001.{kind}"' in answer.headers["Content-Disposition"]
        assert "no-store" in answer.headers["Cache-Control"]
    photo = next(name for name in kept if name.endswith(".jpg"))
    page = client.get(f"/reports/{report.ref}/")
    address = f"/reports/{report.ref}/pictures/{photo.removesuffix('.jpg')}/"
    assert address in page.content.decode()
    assert client.get(address).content == kept[photo]
    assert client.get(f"/reports/{report.ref}/csv/").status_code == 404


def test_the_page_says_at_once_what_was_corrected(
    place: Property, owner: User, reader: User
) -> None:
    report = make_reports.issued(place, owner)
    assert "changed" not in open_page(reader, f"/reports/{report.ref}/").panels
    correct(place)
    page = open_page(reader, f"/reports/{report.ref}/")
    assert "rodent" in page.panel("changed")
    assert "shovel" in page.panel("changed")
    assert "Facts changed since" in open_page(reader, "/reports/").words


def test_a_new_version_from_the_page_stands_beside_the_old_one(
    place: Property, owner: User
) -> None:
    report = make_reports.issued(place, owner)
    client = signed_in(owner)
    address = open_page(owner, f"/reports/{report.ref}/").links["A new version"]
    assert "It is issued beside the earlier one" in client.get(address).content.decode()
    runs_then(client, client.post(address, {**ASK, "place": place.ref}))
    runs_then(client, client.post(f"/reports/drafts/{Draft.objects.get().ref}/issue/"))
    words = open_page(owner, f"/reports/{report.ref}/").words
    assert "Another version: R-00001/2" in words


def test_a_new_version_about_another_property_is_refused(place: Property, owner: User) -> None:
    report, other = make_reports.issued(place, owner), make.place()
    asked = {**ASK, "place": other.ref}
    answer = signed_in(owner).post(f"/reports/ask/?again={report.ref}", asked)
    assert answer.status_code == 422
    assert "A new version is about the same as the earlier one." in answer.content.decode()
    assert not Run.objects.exists()


def test_the_client_sees_its_reports_on_its_own_page_and_what_is_new(
    place: Property, owner: User, reader: User
) -> None:
    report = make_reports.issued(place, owner)
    assert 'hx-get="/reports/"' in open_page(reader, "/mine/").html
    part = signed_in(reader).get("/reports/", headers={"HX-Request": "true"}).content.decode()
    assert "R-00001" in part
    assert "<strong>new</strong>" in part
    assert "Put a report together" not in part
    open_page(reader, f"/reports/{report.ref}/")
    part = signed_in(reader).get("/reports/", headers={"HX-Request": "true"}).content.decode()
    assert "<strong>new</strong>" not in part
    seen = open_page(owner, f"/reports/{report.ref}/").panel("seen")
    assert f"{reader} (2025-11-03)" in seen
    assert "Seen by" not in open_page(reader, f"/reports/{report.ref}/").words


def test_a_fault_s_page_leads_to_the_proof_of_its_work(place: Property, owner: User) -> None:
    fault = Fault.objects.get(property=place)
    link = "Proof of the work, or evidence of damage, as a report"
    address = open_page(owner, f"/faults/{fault.ref}/").links[link]
    client = signed_in(owner)
    looks = {name: ASK[name] for name in ("audience", "language", "units", "paper")}
    for kind in ("proof", "damage"):
        page = runs_then(client, client.post(address, {**looks, "kind": kind}))
        assert "rodent" in page.content.decode()
    assert set(Draft.objects.values_list("kind", flat=True)) == {"proof", "damage"}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"until_on": "2025-07-31"}, "The last day lies before the first one."),
        ({"until_on": "2025-11-04"}, "The last day has not come yet"),
        ({"place": ""}, "Choose which one."),
        ({"kind": "client"}, "Choose which one."),
    ],
)
def test_what_is_wrong_is_said_beside_the_field_and_nothing_is_lost(
    place: Property, owner: User, change: dict[str, str], words: str
) -> None:
    asked = {**ASK, "place": place.ref, "paper": "a4", **change}
    answer = signed_in(owner).post("/reports/ask/", asked)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert '<option value="a4" selected>' in answer.content.decode()
    assert not Run.objects.exists()


def test_a_draft_is_thrown_away(place: Property, owner: User) -> None:
    draft = make_reports.draft(place, owner)
    address = f"/reports/drafts/{draft.ref}/throw-away/"
    assert "Nobody was given it." in open_page(owner, address).words
    answer = signed_in(owner).post(address, follow=True)
    assert "Thrown away." in answer.content.decode()
    assert not Draft.objects.exists()


def test_a_series_is_set_up_and_ended(place: Property, owner: User, reader: User) -> None:
    client = signed_in(owner)
    looks = {name: ASK[name] for name in ("audience", "language", "units", "paper")}
    rule = {
        **looks,
        "kind": "property",
        "place": place.ref,
        "rhythm": "monthly",
        "next_from_on": "2025-11-01",
        "desk": str(owner.pk),
        "mail_to": reader.email,
    }
    refused = client.post("/reports/series/add/", {**rule, "mail_to": "who@example.com"})
    assert "Nobody with the address who@example.com" in refused.content.decode()
    client.post("/reports/series/add/", rule)
    series = ReportSeries.objects.get()
    assert "reader@example.com" in open_page(owner, "/reports/").panel("series")
    client.post(f"/reports/series/{series.ref}/end/")
    assert "ended on 2025-11-03" in open_page(owner, "/reports/").panel("series")


def test_the_list_asks_as_many_queries_for_many_as_for_few(place: Property, owner: User) -> None:
    def count() -> int:
        client = signed_in(owner)
        with CaptureQueriesContext(connection) as counted:
            client.get("/reports/")
        return len(counted)

    make_reports.issued(place, owner)
    few = count()
    for _ in range(3):
        make_reports.issued(place, owner)
    assert count() == few
