"""A mail of the outbox goes out at least once, is claimed by one, and is given up in the end."""

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.core import mail as sent
from django.core.mail.backends.base import BaseEmailBackend

from faults.due.services.outbox import (
    MOST_TRIES,
    UnableToSendAgain,
    forget_old_mail,
    put_out,
    send_one,
    send_waiting,
    try_again,
)
from faults.models import OutgoingMail
from tests import make, make_due
from tests.make import NOW

pytestmark = pytest.mark.django_db


class Refusing(BaseEmailBackend):
    """A server that takes nothing."""

    def send_messages(self, messages: Any) -> int:
        """Refuse."""
        raise ConnectionRefusedError("nobody listens")


def wait(minutes: float) -> Any:
    """Return NOW and some minutes."""
    return NOW + timedelta(minutes=minutes)


def nothing() -> None:
    """Nobody watches."""


@pytest.fixture
def refusing(settings: Any) -> None:
    """The server takes nothing."""
    settings.EMAIL_BACKEND = "tests.services.due.test_outbox.Refusing"


def test_a_mail_is_sent_under_its_own_message_id_and_once() -> None:
    kept = make_due.mail(user=make.user())
    with time_machine.travel(NOW, tick=False):
        assert send_waiting(at=NOW, go_on=nothing) == {"sent": 1, "failed": 0}
        assert send_waiting(at=NOW, go_on=nothing) == {"sent": 0, "failed": 0}
    (one,) = sent.outbox
    assert one.extra_headers["Message-ID"] == kept.message_id
    assert one.extra_headers["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    assert one.to == ["somebody@example.org"]


def test_what_somebody_else_has_claimed_is_left_alone_until_the_claim_runs_out() -> None:
    kept = make_due.mail(claimed_until=wait(5))
    assert send_one(mail_id=kept.pk, at=wait(4)) is None
    assert sent.outbox == []
    assert send_one(mail_id=kept.pk, at=wait(5)) is True


def test_a_failed_mail_waits_twice_as_long_each_time(refusing: None) -> None:
    kept = make_due.mail()
    waits, now = [], NOW
    for _ in range(3):
        with time_machine.travel(now, tick=False):
            assert send_one(mail_id=kept.pk, at=now) is False
        kept.refresh_from_db()
        waits.append((kept.next_try_at - now).total_seconds() / 60)
        now = kept.next_try_at
    assert waits == [2, 4, 8]
    assert kept.last_error == "ConnectionRefusedError: nobody listens"
    assert kept.claimed_until is None


def test_after_the_last_try_it_is_given_up_until_somebody_asks_again(
    refusing: None, settings: Any
) -> None:
    kept = make_due.mail(tries=MOST_TRIES - 1)
    send_one(mail_id=kept.pk, at=NOW)
    kept.refresh_from_db()
    assert kept.given_up_at is not None
    assert send_waiting(at=wait(9999), go_on=nothing) == {"sent": 0, "failed": 0}
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    try_again(mail=kept, at=NOW)
    with pytest.raises(UnableToSendAgain):
        try_again(mail=kept, at=NOW)
    assert send_waiting(at=NOW, go_on=nothing) == {"sent": 1, "failed": 0}


def test_one_bad_mail_does_not_hold_up_the_others() -> None:
    make_due.mail(subject="two\nlines")
    make_due.mail()
    assert send_waiting(at=NOW, go_on=nothing) == {"sent": 1, "failed": 1}


def test_a_key_is_put_out_once(django_capture_on_commit_callbacks: Any) -> None:
    def fresh() -> OutgoingMail:
        fields = {"to": "a@example.org", "subject": "s", "text": "t"}
        number = OutgoingMail.objects.count() + len(tried)
        tried.append(1)
        return OutgoingMail(
            key="digest:1:2025-06-15",
            message_id=f"<{number}@x>",
            made_at=NOW,
            next_try_at=NOW,
            **fields,
        )

    tried: list[int] = []
    with django_capture_on_commit_callbacks() as callbacks:
        assert [put_out(fresh()), put_out(fresh())] == [True, False]
    assert len(callbacks) == 1
    assert OutgoingMail.objects.count() == 1


def test_the_queue_being_down_does_not_break_what_was_decided(settings: Any) -> None:
    settings.REDIS_URL = "redis://127.0.0.1:1/0"
    from faults.due.services.outbox import _ask_to_send

    _ask_to_send(make_due.mail().pk)


def test_mails_that_were_sent_long_ago_are_dropped() -> None:
    make_due.mail(sent_at=NOW - timedelta(days=91))
    kept = [make_due.mail(sent_at=NOW), make_due.mail(made_at=NOW - timedelta(days=200))]
    assert forget_old_mail(at=NOW, go_on=nothing) == {"dropped": 1}
    assert list(OutgoingMail.objects.order_by("pk")) == kept
