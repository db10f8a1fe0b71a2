"""The demo issues a report that is corrected since, the owner's quarter, and sets up a series."""

import pytest

from reports.demo.services.demo_reports import make_demo_reports
from reports.issued.queries import change_of
from reports.issued.services.checking import checked_now
from reports.models import Draft, Report, ReportKind, ReportSeries
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_reports

pytestmark = pytest.mark.django_db


@pytest.fixture
def people(db: None) -> dict[str, User]:
    place = make_reports.court()
    return {
        "owner": make.user(Role.OWNER),
        "desk": make.user(Role.WATER_MANAGER),
        "reader": make.user(Role.CLIENT, client=place.client, email="reader@example.com"),
    }


def test_all_of_it_is_there_to_be_seen(people: dict[str, User]) -> None:
    make_demo_reports(**people, at=make_reports.AT)
    first, quarter = Report.objects.order_by("number")
    assert (first.kind, quarter.kind) == (ReportKind.PROPERTY, ReportKind.OWNER)
    # The month before the last one: its fault is open since June.
    assert f"{first.from_on} {first.until_on}" == "2025-09-01 2025-09-30"
    checked_now(first)
    change = change_of(first)
    assert change is not None
    assert "shovel" in change.changes[0][3]
    assert f"{quarter.from_on} {quarter.until_on}" == "2025-07-01 2025-09-30"
    assert ReportSeries.objects.get().mail_to == "reader@example.com"
    draft = Draft.objects.get()
    assert (draft.desk, f"{draft.from_on} {draft.until_on}") == (
        people["desk"],
        "2025-10-01 2025-10-31",
    )


def test_without_a_property_nothing_is_made(people: dict[str, User]) -> None:
    people["reader"] = make.user(Role.CLIENT, client=make.client())
    make_demo_reports(**people, at=make_reports.AT)
    assert not Report.objects.exists()
