"""Who sees which report: by what it is about, for whom it was issued, and whether it has money."""

from collections.abc import Iterator
from typing import Any

import pytest
import time_machine

from reports.issued.services.files import PDF
from reports.models import Audience, Report, ReportKind
from sites.kernel.engines.roles import Role
from sites.models import Grant, Property, User
from tests import make, make_reports
from tests.services.issued.reading import words_of
from tests.web.pages import open_page

pytestmark = pytest.mark.django_db


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
    return make.user(Role.OWNER)


@pytest.fixture
def reader(place: Property) -> User:
    return make.user(Role.CLIENT, client=place.client)


def who_sees(report: Report, **people: User) -> set[str]:
    return {
        name
        for name, user in people.items()
        if open_page(User.objects.get(pk=user.pk), f"/reports/{report.ref}/").status == 200
    }


@pytest.mark.parametrize(
    ("given", "seen_by"),
    [
        ({}, {"office", "field", "theirs"}),
        ({"shows_prices": True}, {"office", "theirs"}),
        ({"audience": Audience.US.value}, {"office", "field"}),
        ({"audience": Audience.US.value, "shows_prices": True}, {"office"}),
    ],
)
def test_who_sees_a_report_on_a_property(
    place: Property, owner: User, given: dict[str, Any], seen_by: set[str]
) -> None:
    report = make_reports.issued(place, owner, **given)
    people = {
        "office": make.user(Role.DISPATCHER),
        "field": make.user(Role.TECHNICIAN),
        "theirs": make.user(Role.CLIENT, property=place),
        "another": make.user(Role.CLIENT, client=make.client()),
        "elsewhere": make.user(Role.DISPATCHER, property=make.place()),
        "tracer": make.user(Role.TRACER, property=place),
    }
    assert who_sees(report, **people) == seen_by


def test_a_report_on_all_properties_of_a_client_needs_a_role_on_all_of_them(
    place: Property, owner: User, reader: User
) -> None:
    report = make_reports.issued(None, owner, kind=ReportKind.CLIENT.value,
                                 client=place.client)  # fmt: skip
    people = {
        "theirs": reader,
        "one property": make.user(Role.CLIENT, property=place),
        "one property of ours": make.user(Role.DISPATCHER, property=place),
        "another": make.user(Role.CLIENT, client=make.client()),
    }
    assert who_sees(report, **people) == {"theirs"}


def test_the_owners_quarter_is_for_those_who_see_all(place: Property, owner: User) -> None:
    report = make_reports.issued(
        None, owner, kind=ReportKind.OWNER.value, audience=Audience.US.value
    )
    people = {
        "owner": owner,
        "of one client": make.user(Role.OWNER, client=place.client),
        "of one property": make.user(Role.DISPATCHER, property=place),
    }
    assert who_sees(report, **people) == {"owner"}


def test_another_clients_words_never_leave(owner: User) -> None:
    ours = make_reports.court(client=make.client(name="Marigold Parks"), code="MARIGOLD")
    theirs = make_reports.court(client=make.client(name="Wombat Estates"), code="WOMBAT")
    report = make_reports.issued(None, owner, kind=ReportKind.CLIENT.value,
                                 client=ours.client)  # fmt: skip
    make_reports.issued(theirs, owner)
    reader = make.user(Role.CLIENT, client=ours.client)
    assert "wombat" not in words_of(bytes(report.files.get(name=PDF).content)).casefold()
    assert "MARIGOLD" in words_of(bytes(report.files.get(name=PDF).content))
    for address in ("/reports/", f"/reports/{report.ref}/"):
        assert "wombat" not in open_page(reader, address).words.casefold()


def test_who_lost_the_role_sees_none_of_them(place: Property, owner: User, reader: User) -> None:
    report = make_reports.issued(place, owner)
    Grant.objects.filter(user=reader).delete()
    assert open_page(User.objects.get(pk=reader.pk), f"/reports/{report.ref}/").status == 403
