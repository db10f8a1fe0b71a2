"""A report on many properties is compared by a round, once an hour where anything was touched."""

from datetime import datetime, timedelta

import pytest

from faults.models import Break, Cause
from reports.issued.queries import change_of, compared_at
from reports.issued.services import checking
from reports.issued.services.checking import checked_now, compare_wide
from reports.issued.services.checking import make as compare
from reports.models import Report, ReportKind
from sites.kernel.engines.roles import Role
from sites.kernel.services.verbs import as_one_change
from sites.models import Property, User
from tests import make, make_reports
from tests.make_reports import AT

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(db: None) -> User:
    return make.user(Role.OWNER)


@pytest.fixture
def places(db: None) -> list[Property]:
    """Two properties of one client."""
    first = make_reports.court()
    return [first, make_reports.court(code="MILL", name="Mill Court", client=first.client)]


@pytest.fixture
def report(places: list[Property], owner: User) -> Report:
    return make_reports.issued(None, owner, kind=ReportKind.CLIENT, client=places[0].client)


def correct_cause(place: Property, cause: Cause = Cause.SHOVEL) -> None:
    with as_one_change():
        one = Break.objects.get(fault__property=place)
        one.cause = cause
        one.save()


def round_at(moment: datetime) -> int:
    return compare_wide(at=moment, go_on=lambda: None)["compared"]


def hours(count: float) -> datetime:
    """So long after it was issued."""
    return AT + timedelta(hours=1 + count)


def test_a_verb_on_one_property_does_not_set_it_off(
    report: Report, places: list[Property], monkeypatch: pytest.MonkeyPatch
) -> None:
    correct_cause(places[1])
    composed: list[object] = []
    monkeypatch.setattr(checking, "compose", lambda *args, **_: composed.append(args))
    compare([place.pk for place in places])
    assert composed == []
    assert compared_at(report) is None


def test_the_round_compares_it_once_and_again_only_when_any_of_its_properties_was_touched(
    report: Report, places: list[Property]
) -> None:
    assert round_at(hours(0)) == 1
    assert (compared_at(report), change_of(report)) == (hours(0), None)
    assert round_at(hours(5)) == 0
    correct_cause(places[1])
    assert round_at(hours(6)) == 1
    change = change_of(report)
    assert change is not None
    assert change.first_seen_at == hours(6)
    assert any("shovel" in now for *_, now in change.changes)
    # Of the other one as well.
    correct_cause(places[0])
    assert round_at(hours(7)) == 1
    change = change_of(report)
    assert change is not None
    assert sum("shovel" in now for *_, now in change.changes) == 2


@pytest.mark.parametrize(("minutes", "compared"), [(59, 0), (60, 1), (61, 1)])
def test_however_often_it_is_touched_it_is_compared_once_an_hour(
    report: Report, places: list[Property], minutes: int, compared: int
) -> None:
    round_at(hours(0))
    correct_cause(places[0])
    assert round_at(hours(minutes / 60)) == compared


def test_a_touch_on_a_property_of_another_client_sets_nothing_off(
    report: Report, places: list[Property]
) -> None:
    other = make_reports.court(code="ELSE")
    round_at(hours(0))
    correct_cause(other)
    assert round_at(hours(2)) == 0


def test_its_own_page_compares_a_small_one_at_once(report: Report, places: list[Property]) -> None:
    checked_now(report)
    correct_cause(places[0])
    checked_now(report)
    assert change_of(report) is not None


def test_its_own_page_does_not_wait_for_a_large_one(
    report: Report, places: list[Property], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(checking, "MOST_AT_ONCE", 2)
    checked_now(report)
    assert compared_at(report) is not None
    correct_cause(places[0])
    monkeypatch.setattr(checking, "MOST_AT_ONCE", 1)
    checked_now(report)
    assert change_of(report) is None


def test_after_more_than_thirteen_months_it_is_history(
    report: Report, places: list[Property]
) -> None:
    last = report.issued_at + checking.CHECKED_FOR
    assert round_at(last + timedelta(minutes=1)) == 0
    assert round_at(last) == 1
