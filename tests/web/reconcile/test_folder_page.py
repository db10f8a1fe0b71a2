"""What stands and what the folder of central's lists brought, on the page of reconciling."""

import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from faults.due.services.raising import raise_by_rules
from faults.due.services.regular import every_round
from faults.models import FollowUp, FollowUpKind
from faults.tasks import quarter_hour
from sites.kernel.engines.roles import Role
from sites.models import CentralFile, CentralFolder, StandingDifference
from sites.reconcile.services.folder import read_central_folder
from tests import make
from tests.services.reconcile.office import AGREED, Office, make_office
from tests.web.pages import open_page

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


@pytest.fixture
def office(db: None, settings: Any, tmp_path: Path) -> Office:
    """The office, whose dispatcher is the folder's user; two lists were laid, one is none."""
    made = make_office()
    settings.CENTRAL_FOLDER, settings.CENTRAL_FOLDER_USER = tmp_path, made.user.username
    rows = ["property code,controller,station number,enabled", *AGREED, "Fern Row,A,9,yes"]
    (tmp_path / "list.csv").write_text("\n".join(rows))
    (tmp_path / "alarms.csv").write_text("alarm;count\nopen;3")
    at = datetime.fromtimestamp(time.clock_gettime(time.CLOCK_REALTIME), UTC)
    read_central_folder(at=at + timedelta(days=3650), go_on=lambda: None)
    CentralFolder.objects.update(looked_at=make.NOW)
    CentralFile.objects.update(at=make.NOW)
    StandingDifference.objects.update(since=make.NOW)
    return made


def test_the_page_shows_when_it_was_looked_at_and_what_came(office: Office) -> None:
    sheet = open_page(office.user, "/reconcile/")
    said = sheet.panel("folder")
    assert "Looked at last on 2025-06-15" in said
    assert "Not read: No list was recognised" in said
    assert "4 stations; 1 new difference, 0 went away, 1 open in all." in said
    assert sheet.rows("standing")[0][:2] == ["Fern Row", "1"]


def test_files_that_wait_and_a_problem_are_said(office: Office) -> None:
    CentralFolder.objects.update(waiting=2, problem="The folder is not there.")
    said = open_page(office.user, "/reconcile/").panel("folder")
    assert "2 files there are not whole yet" in said
    assert "The folder is not there." in said


def test_who_reconciles_one_property_sees_its_differences_and_no_file(office: Office) -> None:
    theirs = make.user(Role.DISPATCHER, property=office.place)
    strangers = make.user(Role.DISPATCHER, property=make.place(code="Far"))
    page = open_page(theirs, "/reconcile/")
    assert page.rows("standing")[0][:2] == ["Fern Row", "1"]
    assert "alarms.csv" not in page.words
    assert "standing" not in open_page(strangers, "/reconcile/").panels


def test_foreign_rows_are_told_to_those_only_who_see_all(office: Office) -> None:
    central = office.take(*AGREED, "Gate,A,1,yes")
    theirs = make.user(Role.DISPATCHER, property=office.place)
    url = f"/reconcile/{central.ref}/"
    assert "Gate (1)" in open_page(office.user, url).words
    assert "Gate" not in open_page(theirs, url).words


def test_the_line_that_is_due_leads_to_the_page(office: Office) -> None:
    raise_by_rules(at=make.NOW)
    assert FollowUp.objects.filter(kind=FollowUpKind.CENTRAL_DIFFERS).count() == 1
    page = open_page(office.user, "/due/")
    assert "Central's own list and the register differ" in page.words
    assert any(each.attributes.get("href") == "/reconcile/" for each in page.tree.find("a"))


def test_a_folder_that_is_gone_shows_on_health_and_stops_no_other_round(
    office: Office, settings: Any, tmp_path: Path
) -> None:
    settings.CENTRAL_FOLDER = tmp_path / "gone"
    with pytest.raises(Exception, match="is not there"):
        quarter_hour()
    owner = make.user(Role.OWNER)
    rows = {row[0]: row for row in open_page(owner, "/health/").rows("rounds")}
    assert "is not there: make it, or mount its disk" in rows["central's lists"][4]
    later = [one.name for one in every_round()]
    for name in later[later.index("central's lists") + 1 :][:3]:
        assert rows[name][2] != "never"


def test_nothing_is_said_of_a_folder_where_none_is_set(cast: Any) -> None:
    assert "folder" not in open_page(cast.owner, "/reconcile/").panels


@pytest.mark.parametrize("places", [2, 20])
def test_asks_as_often_for_few_properties_as_for_many(
    office: Office, places: int, django_assert_max_num_queries: Any
) -> None:
    codes = [f"P{n}" for n in range(places)]
    for code in codes:
        make.station(controller=make.controller(property=make.place(code=code), name="A"), number=1)
    for code in codes:
        office.take(f"{code},A,1,no")
    with django_assert_max_num_queries(30):
        open_page(office.user, "/reconcile/")
