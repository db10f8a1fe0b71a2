"""Pages about notices ask the database as often for thirty rows as for three."""

from datetime import date, time, timedelta

import pytest
from django.urls import reverse

from sites.kernel.engines.roles import Role
from sites.models import User
from sites.register.engines.open_hours import WeekHours
from sites.register.services.access_days import add_blackout, set_access_hours
from tests import make, make_notices
from tests.web.test_query_counts import asked_by

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


@pytest.fixture
def owner(db: None) -> User:
    """An owner of everything."""
    return make.user(Role.OWNER)


def notices(count: int) -> None:
    """Make this many tickets, each of a property and a fault of its own, with operators."""
    for _ in range(count):
        place = make.place(notice_region="Ohio")
        fault = make.fault(make.station(controller=make.controller(property=place)), key="F")
        make_notices.notice("Gas", "Power", fault=fault)


def test_the_list_of_notices(owner: User) -> None:
    # Session, user, grants; how many rows, keys of a page, rows, operators; rules, their closed
    # days; whether the register is empty; the views that the user keeps.
    make_notices.rule(region="Ohio")
    notices(3)
    few = asked_by(owner, reverse("faults:notices"))
    notices(30)
    assert (few, asked_by(owner, reverse("faults:notices"))) == (11, 11)


def test_the_page_of_a_notice(owner: User) -> None:
    # Session, user, grants; the notice, its operators twice; rules, closed days; digs, what was
    # said against the notice; history.
    make_notices.rule(region="Ohio")

    def page(count: int) -> int:
        place = make.place(notice_region="Ohio")
        fault = make.fault(make.station(controller=make.controller(property=place)))
        names = [f"Operator {number}" for number in range(count)]
        one = make_notices.notice(*names, fault=fault)
        for _ in range(min(count, 20)):
            job = make_notices.dig(fault=fault)
            job.overrides.create(reason="because", by=owner, at=make.NOW)
        return asked_by(owner, reverse("faults:notice", args=[one.ref]))

    assert (page(3), page(30)) == (11, 11)


def test_the_rules_and_the_closed_days(owner: User) -> None:
    # Session, user, grants; rules, sets, regions of rules, regions of properties.
    def page(count: int) -> int:
        for number in range(count):
            make_notices.rule(region=f"Region {count} {number}")
            make.place(notice_region=f"Elsewhere {count} {number}")
        return asked_by(owner, reverse("faults:notice_rules"))

    assert (page(3), page(30)) == (7, 7)


def test_the_days_of_a_set(owner: User) -> None:
    def page(count: int) -> int:
        days = [date(2025, 1, 1) + timedelta(days=number) for number in range(count)]
        kept = make_notices.closed_days(*days)
        return asked_by(owner, reverse("faults:closed_days", args=[kept.ref]))

    assert (page(3), page(30)) == (5, 5)


def test_the_access_of_a_property(owner: User) -> None:
    def page(count: int) -> int:
        place = make.place()
        hours = [WeekHours(day, time(7), time(9)) for day in range(min(count, 7))]
        set_access_hours(place=place, hours=hours)
        for number in range(count):
            day = make.TODAY + timedelta(days=number)
            add_blackout(place=place, from_on=day, to_on=day + timedelta(days=1), why="a fair")
        return asked_by(owner, reverse("sites:property_access", args=[place.ref]))

    assert (page(3), page(30)) == (6, 6)


def test_a_fault_with_notices_and_questions(owner: User) -> None:
    make_notices.rule(region="Ohio")

    def page(count: int) -> int:
        place = make.place(notice_region="Ohio")
        fault = make.fault(make.station(controller=make.controller(property=place)))
        for _ in range(count):
            make_notices.notice("Gas", fault=fault)
            make_notices.asked(fault=fault, answer="no", answered_on=date(2025, 6, 1))
        return asked_by(owner, reverse("faults:fault", args=[fault.ref]))

    few, many = page(3), page(30)
    assert few == many <= 32
