"""Each named rule on notices, questions to the client and access days refuses what it names."""

from datetime import date, time, timedelta

import pytest

from faults.models import ClosedDay, DigOverride, OperatorAnswer
from sites.models import AccessHours, Blackout
from tests import make, make_notices
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db

DAY = date(2025, 6, 10)
BEFORE = DAY - timedelta(days=1)


def test_closed_day_once_per_set() -> None:
    kept = make_notices.closed_days(DAY)
    other = make_notices.closed_days(DAY)
    assert other.days.filter(on=DAY).count() == 1
    with refused_by("closed_day_once_per_set"):
        ClosedDay.objects.create(of=kept, on=DAY, name="again")


def test_notice_rule_confirmed_with_its_day() -> None:
    owner = make.user()
    make_notices.rule(confirmed_by=owner, confirmed_on=DAY)
    with refused_by("notice_rule_confirmed_with_its_day"):
        make_notices.rule(confirmed_by=owner, confirmed_on=None)


def test_notice_rule_day_ends_after_it_starts() -> None:
    with refused_by("notice_rule_day_ends_after_it_starts"):
        make_notices.rule(day_start=time(17), day_end=time(17))


def test_notice_rule_waits_for_something() -> None:
    with refused_by("notice_rule_waits_for_something"):
        make_notices.rule(wait_n=0)


def test_notice_ticket_once_per_property() -> None:
    one = make_notices.notice(ticket="A1")
    make_notices.notice(ticket="A1")
    with refused_by("notice_ticket_once_per_property"):
        make_notices.notice(property=one.property, ticket="A1")


def test_notice_printed_expiry_after_start() -> None:
    make_notices.notice(printed_start_on=DAY, printed_expiry_on=DAY)
    with refused_by("notice_printed_expiry_after_start"):
        make_notices.notice(printed_start_on=DAY, printed_expiry_on=BEFORE)


def test_notice_names_an_operator_once() -> None:
    one = make_notices.notice("Gas")
    with refused_by("notice_names_an_operator_once"):
        OperatorAnswer.objects.create(notice=one, operator="Gas")


def test_dig_override_gives_a_reason() -> None:
    with refused_by("dig_override_gives_a_reason"):
        DigOverride.objects.create(job=make_notices.dig(), reason="", at=make.NOW)


def test_asked_answer_has_its_day() -> None:
    make_notices.asked(answer="yes", answered_on=DAY)
    with refused_by("asked_answer_has_its_day"):
        make_notices.asked(answer="yes")
    with refused_by("asked_answer_has_its_day"):
        make_notices.asked(answer="", answered_on=DAY)


def test_asked_answered_after_asking() -> None:
    with refused_by("asked_answered_after_asking"):
        make_notices.asked(asked_on=DAY, answer="no", answered_on=BEFORE)


def test_asked_one_open_question_per_fault() -> None:
    first = make_notices.asked(answer="no", answered_on=DAY)
    make_notices.asked(fault=first.fault)
    with refused_by("asked_one_open_question_per_fault"):
        make_notices.asked(fault=first.fault)


def test_access_hours_weekday_of_a_week() -> None:
    with refused_by("access_hours_weekday_of_a_week"):
        AccessHours.objects.create(
            property=make.place(), weekday=7, opens_at=time(8), closes_at=time(9)
        )


def test_access_hours_close_after_they_open() -> None:
    with refused_by("access_hours_close_after_they_open"):
        AccessHours.objects.create(
            property=make.place(), weekday=0, opens_at=time(9), closes_at=time(9)
        )


def test_access_hours_once_per_start() -> None:
    place = make.place()
    hours = {"weekday": 0, "opens_at": time(8), "closes_at": time(9)}
    AccessHours.objects.create(property=place, **hours)
    with refused_by("access_hours_once_per_start"):
        AccessHours.objects.create(property=place, **hours)


def test_blackout_ends_after_it_starts() -> None:
    with refused_by("blackout_ends_after_it_starts"):
        Blackout.objects.create(property=make.place(), from_on=DAY, to_on=BEFORE, why="a fair")
