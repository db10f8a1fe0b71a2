"""Each named rule on reports refuses what it names; issued rows are never changed or deleted."""

import hashlib
from datetime import timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from reports.models import Audience, Draft, Report, ReportFile, ReportKind, ReportSeen, ReportSeries
from tests import make, make_reports, make_rounds
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db


def fields(**given: Any) -> dict[str, Any]:
    place = given.pop("property") if "property" in given else make.place()
    usual = make_reports.asked(place).fields()
    return {**usual, "title": "A report", "document": {}, "made_at": make.NOW, **given}


def draft(**given: Any) -> Draft:
    return Draft.objects.create(desk=given.pop("desk", None) or make.user(), **fields(**given))


def report(**given: Any) -> Report:
    issued = {"number": 1, "data_sha256": "0" * 64, "issued_at": make.NOW}
    return Report.objects.create(issued_by=make.user(), **{**fields(**given), **issued, **given})


def series(**given: Any) -> ReportSeries:
    return make_reports.series(given.pop("property", None) or make.place(), make.user(), **given)


def test_draft_is_about_one_thing() -> None:
    draft()
    with refused_by("draft_is_about_one_thing"):
        draft(client=make.client())
    with refused_by("draft_is_about_one_thing"):
        draft(kind=ReportKind.PROOF)


def test_of_a_round_one_tells_a_client_of_its_own_properties_only() -> None:
    place, client = make.place(), make.client()
    about = {"kind": ReportKind.ROUND, "property": None}
    about["round"] = make_rounds.round_over(place)
    draft(**about, client=client)
    draft(**about | {"property": place})
    draft(**about, audience=Audience.US)
    for wrong in (
        about | {"property": place, "client": client},
        about,
        about | {"round": None, "client": client},
        {"round": about["round"]},
    ):
        with refused_by("draft_is_about_one_thing"):
            draft(**wrong)


def test_draft_ends_after_it_starts() -> None:
    draft(until_on=make_reports.FIRST)
    with refused_by("draft_ends_after_it_starts"):
        draft(until_on=make_reports.FIRST - timedelta(days=1))


def test_draft_once_a_series_and_period() -> None:
    one = series()
    draft(series=one)
    draft(series=None)
    draft(series=None)
    with refused_by("draft_once_a_series_and_period"):
        draft(series=one)


def test_report_numbered_once() -> None:
    report(version=1)
    report(version=2)
    with refused_by("report_numbered_once"):
        report(version=2)


def test_report_is_about_one_thing() -> None:
    with refused_by("report_is_about_one_thing"):
        report(kind=ReportKind.OWNER)


def test_report_ends_after_it_starts() -> None:
    with refused_by("report_ends_after_it_starts"):
        report(until_on=make_reports.FIRST - timedelta(days=1))


def test_series_is_about_one_thing() -> None:
    with refused_by("series_is_about_one_thing"):
        series(client=make.client())


def file_of(one: Report, name: str = "report.pdf") -> ReportFile:
    return ReportFile.objects.create(
        report=one, name=name, content=b"x", size=1, sha256=hashlib.sha256(b"x").hexdigest()
    )


def test_report_file_named_once() -> None:
    one = report()
    file_of(one)
    file_of(one, "report.xlsx")
    with refused_by("report_file_named_once"):
        file_of(one)


def test_report_seen_first_once() -> None:
    seen = {"report": report(), "user": make.user(), "first_at": make.NOW}
    ReportSeen.objects.create(**seen)
    with refused_by("report_seen_first_once"):
        ReportSeen.objects.create(**seen)


def test_what_was_issued_is_neither_changed_nor_deleted() -> None:
    one = report()
    kept = file_of(one)
    for row, change in ((kept, {"size": 2}), (one, {"title": "Another"})):
        rows: Any = type(row).objects.filter(pk=row.pk)
        with pytest.raises(IntegrityError, match="never_changes"), transaction.atomic():
            rows.update(**change)
        with pytest.raises(IntegrityError, match="never_changes"), transaction.atomic():
            rows._raw_delete("default")
    assert Report.objects.filter(title="A report").count() == 1
    assert bytes(ReportFile.objects.get().content) == b"x"
