"""Issue, keep, correct, issue again: what was handed out never changes, and says what did."""

import hashlib
from datetime import date, timedelta

import pytest
from django.utils import translation

from faults.models import Break, Cause, Job, OutgoingMail
from reports.issued.queries import change_of
from reports.issued.services.asking import composer
from reports.issued.services.checking import check, checked_now
from reports.issued.services.checking import make as compare
from reports.issued.services.drafting import (
    SUBJECT,
    UnableToWriteReport,
    write_in_background,
)
from reports.issued.services.files import PDF, XLSX, data_hash, is_whole
from reports.issued.services.issuing import (
    UnableToIssue,
    issue,
    issue_in_background,
    note_seen,
)
from reports.models import Draft, PropertySummary, Report, ReportChange, ReportFile
from sites.kernel.engines.roles import Role
from sites.kernel.services.verbs import as_one_change
from sites.models import Property, Station, Stopgap, User
from sites.runs.services import Silent, UnableToFinish
from tests import make, make_reports
from tests.make_reports import AT
from tests.services.issued.reading import pages_of, sheets_of, words_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def place(db: None) -> Property:
    return make_reports.court()


@pytest.fixture
def owner(db: None) -> User:
    return make.user(Role.OWNER, first_name="Olive", last_name="Owner")


def correct_cause(place: Property, cause: Cause = Cause.SHOVEL) -> None:
    with as_one_change():
        one = Break.objects.get(fault__property=place)
        one.cause = cause
        one.save()


def hashes(report: Report) -> dict[str, str]:
    return {
        file.name: hashlib.sha256(bytes(file.content)).hexdigest() for file in report.files.all()
    }


def test_gets_a_number_files_their_hashes_and_leaves_the_desk(place: Property, owner: User) -> None:
    report = make_reports.issued(place, owner)
    assert str(report) == "R-00001"
    assert not Draft.objects.exists()
    kept = {file.name: file for file in report.files.all()}
    assert {PDF, XLSX} < set(kept)
    # Two photos, before and after.
    assert len(kept) == 4
    assert all(is_whole(file) and file.size == len(bytes(file.content)) for file in kept.values())
    assert report.data_sha256 == data_hash(report.document)
    pages = pages_of(bytes(kept[PDF].content))
    assert all("R-00001, issued on 2025-11-03" in page for page in pages)
    assert "OliveOwner" in words_of(bytes(kept[PDF].content))
    assert "Report" in sheets_of(bytes(kept[XLSX].content))


def test_the_next_report_has_the_next_number(place: Property, owner: User) -> None:
    assert [str(make_reports.issued(place, owner)) for _ in range(2)] == ["R-00001", "R-00002"]


def test_a_file_that_was_damaged_is_not_whole(place: Property, owner: User) -> None:
    file = make_reports.issued(place, owner).files.get(name=PDF)
    file.content = bytes(file.content) + b"x"
    assert not is_whole(file)


def test_a_correction_changes_no_byte_and_marks_the_report(place: Property, owner: User) -> None:
    report = make_reports.issued(place, owner)
    before = hashes(report)
    correct_cause(place)
    checked_now(report)
    change = change_of(report)
    assert change is not None
    ((heading, _what, was, now),) = change.changes
    assert (heading, "rodent" in was, "shovel" in now) == ("Faults", True, True)
    assert hashes(Report.objects.get(pk=report.pk)) == before
    assert data_hash(Report.objects.get(pk=report.pk).document) == report.data_sha256


def test_a_correction_of_the_first_day_off_is_told_as_numbers(place: Property, owner: User) -> None:
    report = make_reports.issued(place, owner)
    with as_one_change():
        stopgap = Stopgap.objects.get(station__number="3", station__controller__property=place)
        # It stood there before the period began.
        stopgap.fitted_earliest = stopgap.fitted_latest = date(2025, 7, 31)
        stopgap.save()
    checked_now(report)
    change = change_of(report)
    assert change is not None
    found = {(what, was, now) for _heading, what, was, now in change.changes}
    assert ("Off at the end of 2025-07-31", "2", "3") in found
    assert ("All", "2; 1; 1; 2", "3; 0; 1; 2") in found


def test_what_happens_after_the_period_marks_nothing(place: Property, owner: User) -> None:
    report = make_reports.issued(place, owner)
    with as_one_change():
        station = Station.objects.get(number="3", controller__property=place)
        make.fault(station, reported_on=date(2025, 11, 2))
        Stopgap.objects.get(station=station).save()
    checked_now(report)
    assert change_of(report) is None


def test_a_correction_that_was_taken_back_marks_nothing_any_more(
    place: Property, owner: User
) -> None:
    report = make_reports.issued(place, owner)
    correct_cause(place)
    checked_now(report)
    first = ReportChange.objects.get()
    correct_cause(place, Cause.RODENT)
    checked_now(report)
    assert change_of(report) is None
    assert ReportChange.objects.get().first_seen_at == first.first_seen_at


def test_a_verb_touches_what_was_issued_and_the_round_compares_it(
    place: Property, owner: User
) -> None:
    report = make_reports.issued(place, owner)
    row = PropertySummary.objects.get(subject=SUBJECT, property=place)
    correct_cause(place)
    assert PropertySummary.objects.get(pk=row.pk).touched > row.touched
    compare([place.pk])
    assert change_of(report) is not None


def test_reports_of_other_properties_are_left_alone(place: Property, owner: User) -> None:
    other = make.place()
    report = make_reports.issued(place, owner)
    correct_cause(place)
    compare([other.pk])
    assert change_of(report) is None


def test_what_an_earlier_version_of_our_code_said_is_not_compared(
    place: Property, owner: User
) -> None:
    report = make_reports.issued(place, owner)
    correct_cause(place)
    report.state = {"composer": composer(report.kind) - 1}
    check(report, at=AT)
    assert change_of(report) is None


def test_a_new_version_stands_beside_the_old_one(place: Property, owner: User) -> None:
    first = make_reports.issued(place, owner)
    correct_cause(place)
    draft = make_reports.draft(place, owner, again_of=first)
    second = issue(draft=draft, by=owner, at=AT + timedelta(days=1), progress=Silent())
    assert (str(first), str(second)) == ("R-00001", "R-00001/2")
    assert "shovel" in words_of(bytes(second.files.get(name=PDF).content))
    assert "rodent" in words_of(bytes(first.files.get(name=PDF).content))
    third = make_reports.issued(place, owner, again_of=first)
    assert str(third) == "R-00001/3"


def test_a_draft_is_issued_once(place: Property, owner: User) -> None:
    draft = make_reports.draft(place, owner)
    kept = Draft.objects.get(pk=draft.pk)
    issue(draft=draft, by=owner, at=AT, progress=Silent())
    with pytest.raises(UnableToIssue, match="gone"):
        issue(draft=kept, by=owner, at=AT, progress=Silent())
    assert Report.objects.count() == 1
    assert ReportFile.objects.count() == 4


def test_in_the_background_from_the_question_to_the_number(place: Property, owner: User) -> None:
    asked = make_reports.asked(place, until_on=date(2025, 9, 30), from_on=date(2025, 9, 1))
    told = write_in_background(
        Silent(), user_id=owner.pk, asked=asked.as_arguments(), again_of=None
    )
    found = issue_in_background(Silent(), user_id=owner.pk, draft=told["draft"])
    report = Report.objects.get(ref=found["report"])
    assert (report.property, report.from_on, report.made_by) == (place, date(2025, 9, 1), owner)
    with pytest.raises(UnableToFinish, match="gone"):
        issue_in_background(Silent(), user_id=owner.pk, draft=told["draft"])


@pytest.mark.parametrize(
    ("first", "last", "field"),
    [
        (date(2025, 10, 2), date(2025, 10, 1), "until_on"),
        # It is 3 November there.
        (date(2025, 10, 1), date(2025, 11, 4), "until_on"),
    ],
)
def test_refuses_days_that_are_no_period(
    place: Property, owner: User, first: date, last: date, field: str
) -> None:
    with pytest.raises(UnableToWriteReport) as no:
        make_reports.draft(place, owner, from_on=first, until_on=last)
    assert no.value.field == field
    assert not Draft.objects.exists()


def test_today_is_a_last_day(place: Property, owner: User) -> None:
    draft = make_reports.draft(place, owner, until_on=date(2025, 11, 3))
    assert draft.until_on == date(2025, 11, 3)


def test_seen_is_kept_once_with_its_first_time(place: Property, owner: User) -> None:
    report = make_reports.issued(place, owner)
    for days in (0, 1):
        note_seen(report=report, by=owner, at=AT + timedelta(days=days))
    assert report.seen.get().first_at == AT


def test_nothing_is_mailed_without_a_series(place: Property, owner: User) -> None:
    with translation.override("en"):
        make_reports.issued(place, owner)
    assert not OutgoingMail.objects.exists()
    assert not Job.objects.exists()
