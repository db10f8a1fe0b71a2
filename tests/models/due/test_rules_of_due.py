"""Each named rule about follow-ups, calendars, the daily mail and the outbox refuses a write."""

import pytest
from django.db import IntegrityError, transaction

from faults.models import (
    CalendarLink,
    DigestChoice,
    FollowUpKind,
    FollowUpRule,
    FollowUpState,
)
from tests import make, make_due
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db


def test_follow_up_rule_is_not_by_hand() -> None:
    FollowUpRule.objects.create(kind=FollowUpKind.SOAK, days=1)
    with refused_by("follow_up_rule_is_not_by_hand"):
        FollowUpRule.objects.create(kind=FollowUpKind.BY_HAND, days=1)


def test_follow_up_raised_once() -> None:
    cause = {"kind": FollowUpKind.BATTERY, "cause": "device:1:2025-01-01"}
    make_due.follow_up(**cause)
    make_due.follow_up(**{**cause, "kind": FollowUpKind.SOAK})
    make_due.follow_up()
    make_due.follow_up()
    with refused_by("follow_up_raised_once"):
        make_due.follow_up(**cause)


def test_follow_up_done_with_its_day() -> None:
    make_due.follow_up(state=FollowUpState.DONE, done_on=make.TODAY)
    with refused_by("follow_up_done_with_its_day"):
        make_due.follow_up(state=FollowUpState.DONE)


def test_follow_up_by_hand_says_what() -> None:
    make_due.follow_up(kind=FollowUpKind.SOAK, what="")
    with refused_by("follow_up_by_hand_says_what"):
        make_due.follow_up(what="")


def test_calendar_link_one_in_force_per_user() -> None:
    user = make.user()
    CalendarLink.objects.create(user=user, secret_hash="a", made_at=make.NOW, revoked_at=make.NOW)
    CalendarLink.objects.create(user=user, secret_hash="b", made_at=make.NOW)
    with refused_by("calendar_link_one_in_force_per_user"):
        CalendarLink.objects.create(user=user, secret_hash="c", made_at=make.NOW)


def test_digest_hour_of_a_day() -> None:
    DigestChoice.objects.create(user=make.user(), at_hour=23)
    with refused_by("digest_hour_of_a_day"):
        DigestChoice.objects.create(user=make.user(), at_hour=24)


@pytest.mark.parametrize("same", ["key", "message_id"])
def test_a_mail_is_put_out_once_under_one_message_id(same: str) -> None:
    first = make_due.mail()
    with pytest.raises(IntegrityError), transaction.atomic():
        make_due.mail(**{same: getattr(first, same)})
