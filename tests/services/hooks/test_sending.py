"""A message goes out at least once, is claimed by one sender, and is given up in the end."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

import pytest
import time_machine

from faults.due.services.health import sent_besides
from faults.due.services.regular import TIDYING, do_round, every_round
from reports.hooks.engines.retrying import MOST_TRIES
from reports.hooks.engines.signing import signature
from reports.hooks.services import sending
from reports.hooks.services.reaching import Answer
from reports.hooks.services.receivers import (
    UnableToSendNow,
    UnableToSwitch,
    renew_secret,
    send_again,
    send_test,
    switch_off_receiver,
    switch_on_receiver,
)
from reports.hooks.services.sending import ROUND, forget_old, send_one, send_waiting
from reports.models import Delivery, Outcome, Receiver, WhyOff
from sites.kernel.engines.roles import Role
from sites.models import AuditLine, Event, Grant
from tests import make, make_hooks
from tests.make import NOW
from tests.make_hooks import SECRET, delivery

pytestmark = pytest.mark.django_db
SERVED = {"sent": 1, "failed": 0}
FAILED = {"sent": 0, "failed": 1}
NOTHING = {"sent": 0, "failed": 0}
SIGNED_BY = [(23.99, False, 2), (24, False, 1), (24.01, False, 1), (0, True, 1)]


class Far:
    """The other side: answers as it is told to, and keeps what it got."""

    def __init__(self) -> None:
        self.answers: dict[str, Answer] = {}
        self.usual = Answer(Outcome.ACCEPTED, 200)
        self.got: list[tuple[str, bytes, dict[str, str]]] = []

    def __call__(self, address: str, body: bytes, headers: Mapping[str, str]) -> Answer:
        self.got.append((address, body, dict(headers)))
        return self.answers.get(address, self.usual)

    @property
    def ids(self) -> list[str]:
        """The ids in the order in which they came."""
        return [headers["Rejoin-Id"] for _address, _body, headers in self.got]


@pytest.fixture
def far(monkeypatch: pytest.MonkeyPatch) -> Far:
    side = Far()
    monkeypatch.setattr(sending, "send", side)
    monkeypatch.setattr("reports.hooks.services.reaching.look_up", lambda host, port: ["8.8.8.8"])
    return side


@pytest.fixture
def display() -> Receiver:
    return make_hooks.receiver(make.user(Role.OWNER))


def after(minutes: float) -> datetime:
    return NOW + timedelta(minutes=minutes)


def round_at(at: datetime) -> dict[str, int]:
    with time_machine.travel(at, tick=False):
        return send_waiting(at=at, go_on=lambda: None)


def test_a_message_is_signed_sent_and_noted_once(far: Far, display: Receiver) -> None:
    row = delivery(display)
    assert round_at(after(3)) == SERVED
    assert round_at(after(4)) == NOTHING
    ((address, body, headers),) = far.got
    assert (address, body) == (display.address, row.body.encode())
    moment = str(int(after(3).timestamp()))
    assert headers == {
        "Content-Type": "application/json",
        "Rejoin-Id": str(row.key),
        "Rejoin-Time": moment,
        "Rejoin-Signature": signature(SECRET, moment=moment, body=body),
    }
    row.refresh_from_db()
    assert (row.sent_at, row.tried_at, row.status) == (after(3), after(3), 200)
    assert (row.tries, row.claimed_until, row.given_up_at) == (1, None, None)


@pytest.mark.parametrize(("hours", "at_once", "signs"), SIGNED_BY)
def test_for_a_day_the_secret_before_signs_beside_the_new_one(
    far: Far, display: Receiver, hours: float, at_once: bool, signs: int
) -> None:
    new, _sent = renew_secret(receiver=display, at=NOW, at_once=at_once), delivery(display)
    round_at(after(60 * hours))
    ((_address, body, told),) = far.got
    both = [signature(one, moment=told["Rejoin-Time"], body=body) for one in (new, SECRET)]
    assert told["Rejoin-Signature"].split(",") == both[:signs]


def test_of_two_senders_one_has_it(
    far: Far, display: Receiver, monkeypatch: pytest.MonkeyPatch
) -> None:
    row, other = delivery(display), []

    def slow(*given: Any) -> Answer:
        other.append(send_one(delivery_id=row.pk, at=after(1)))
        return far(*given)

    monkeypatch.setattr(sending, "send", slow)
    with time_machine.travel(NOW, tick=False):
        assert send_one(delivery_id=row.pk, at=NOW) is Outcome.ACCEPTED
    assert other == [None]
    assert len(far.got) == 1


def test_killed_between_sending_and_noting_it_goes_again_under_its_id(
    far: Far, display: Receiver, monkeypatch: pytest.MonkeyPatch, settings: Any
) -> None:
    settings.MAIL_LEASE_S = 300
    row = delivery(display)

    def killed(*_: Any) -> None:
        raise SystemExit

    with monkeypatch.context() as here:
        here.setattr(sending, "_keep", killed)
        with pytest.raises(SystemExit):
            round_at(NOW)
    assert round_at(NOW + timedelta(seconds=299)) == NOTHING
    assert round_at(NOW + timedelta(seconds=300)) == SERVED
    assert far.ids == [str(row.key)] * 2
    assert far.got[0][1] == far.got[1][1]


def test_it_is_tried_ever_later_and_given_up_at_last(far: Far, display: Receiver) -> None:
    row = delivery(display)
    far.usual = Answer(Outcome.STATUS, 503, "busy")
    at, waits = NOW, []
    while row.given_up_at is None:
        assert round_at(at) == FAILED
        row.refresh_from_db()
        waits.append((row.next_try_at - at).total_seconds() / 60)
        if waits[-1]:
            assert round_at(row.next_try_at - timedelta(seconds=1)) == NOTHING
        at = row.next_try_at
    assert waits == [1, 5, 30, 120, 360, 720, 1440, 1440, 0]
    assert (row.tries, row.outcome, row.status, row.detail) == (MOST_TRIES, "status", 503, "busy")
    assert round_at(at + timedelta(days=9)) == NOTHING
    assert set(far.ids) == {str(row.key)}


def test_a_clock_that_ran_ahead_keeps_no_message_for_ever(far: Far, display: Receiver) -> None:
    delivery(display, claimed_until=NOW + timedelta(days=3), next_try_at=NOW + timedelta(days=3))
    assert round_at(NOW) == SERVED


def test_what_was_given_up_or_accepted_is_sent_again_when_asked(
    far: Far, display: Receiver
) -> None:
    lost = delivery(display, given_up_at=NOW, tries=MOST_TRIES, outcome=Outcome.TIMEOUT)
    done = delivery(display, sent_at=NOW, tries=1)
    for row in (lost, done):
        send_again(delivery=row, at=after(5))
    assert round_at(after(5)) == {"sent": 2, "failed": 0}
    lost.refresh_from_db()
    assert (lost.tries, lost.given_up_at, lost.sent_at) == (1, None, after(5))
    busy = delivery(display, claimed_until=after(7))
    with pytest.raises(UnableToSendNow):
        send_again(delivery=busy, at=after(6))
    send_again(delivery=busy, at=after(7))


def test_one_that_wants_nothing_any_more_is_switched_off(far: Far, display: Receiver) -> None:
    rows = [delivery(display) for _ in range(2)]
    far.usual = Answer(Outcome.GONE, 410)
    assert round_at(NOW) == FAILED
    display.refresh_from_db()
    assert (display.off_at, display.why_off) == (NOW, WhyOff.GONE)
    for row in rows:
        row.refresh_from_db()
    assert [row.given_up_at for row in rows] == [NOW, None]
    assert AuditLine.objects.get(event=Event.HOOK_SWITCHED).detail == "410"
    assert round_at(after(9)) == NOTHING


def test_switched_off_it_waits_and_goes_first_when_on_again(far: Far, display: Receiver) -> None:
    delivery(display)
    switch_off_receiver(receiver=display, at=NOW)
    with pytest.raises(UnableToSwitch):
        switch_off_receiver(receiver=display, at=NOW)
    with pytest.raises(UnableToSendNow):
        send_test(receiver=display, at=NOW)
    assert round_at(after(1)) == NOTHING
    assert sent_besides()[0].waiting == 0
    switch_on_receiver(receiver=display)
    with pytest.raises(UnableToSwitch):
        switch_on_receiver(receiver=display)
    assert round_at(after(2)) == SERVED


def test_switched_off_between_the_list_and_the_claim_it_keeps_its_tries(
    far: Far, display: Receiver
) -> None:
    row = delivery(display)
    switch_off_receiver(receiver=display, at=NOW)
    assert send_one(delivery_id=row.pk, at=NOW) is None
    row.refresh_from_db()
    assert (row.tries, row.claimed_until, far.got) == (0, None, [])


@pytest.mark.parametrize(
    "outcome", [Outcome.TIMEOUT, Outcome.NO_CONNECTION, Outcome.UNKNOWN_NAME, Outcome.CERTIFICATE]
)
def test_a_dead_one_is_tried_once_a_round_and_keeps_nobody_waiting(
    outcome: Outcome, far: Far, display: Receiver
) -> None:
    for _ in range(3):
        delivery(display)
    alive = make_hooks.receiver(make.user(Role.OWNER), address="https://alive.example/")
    for _ in range(2):
        delivery(alive)
    far.answers[display.address] = Answer(outcome)
    assert round_at(NOW) == {"sent": 2, "failed": 1}
    far.answers.clear()
    assert round_at(after(1)) == {"sent": 3, "failed": 0}


def test_one_refused_message_does_not_hold_up_the_next(far: Far, display: Receiver) -> None:
    for _ in range(2):
        delivery(display)
    far.usual = Answer(Outcome.STATUS, 422)
    assert round_at(NOW) == {"sent": 0, "failed": 2}


def test_what_its_user_does_not_see_any_more_is_not_sent(far: Far) -> None:
    station = make.station()
    person = make.user(Role.CLIENT, client=station.controller.property.client)
    row = delivery(make_hooks.receiver(person), station=station)
    still = make_hooks.receiver(make.user(Role.OWNER))
    kept = delivery(still, station=station)
    Grant.objects.filter(user=person).delete()
    assert round_at(NOW) == {"sent": 1, "failed": 1}
    row.refresh_from_db()
    assert (row.outcome, row.given_up_at, row.tries) == (Outcome.NO_RIGHT, NOW, 1)
    assert far.ids == [str(kept.key)]


def test_for_who_has_left_nothing_is_sent(far: Far, display: Receiver) -> None:
    display.user.is_active = False
    display.user.save()
    delivery(display)
    assert round_at(NOW) == FAILED
    assert far.got == []


def test_a_secret_that_cannot_be_read_is_said_and_nothing_is_sent(
    far: Far, display: Receiver, settings: Any
) -> None:
    row = delivery(display)
    settings.SECRET_KEY = "another"
    assert round_at(NOW) == FAILED
    row.refresh_from_db()
    assert (row.outcome, row.next_try_at, far.got) == (Outcome.NO_SECRET, after(1), [])


def test_old_messages_are_dropped_by_the_round_that_tidies(display: Receiver) -> None:
    days = timedelta(days=1)
    delivery(display, sent_at=NOW - 30 * days - timedelta(seconds=1))
    delivery(display, given_up_at=NOW - 90 * days - timedelta(seconds=1))
    kept = [
        delivery(display, sent_at=NOW - 30 * days),
        delivery(display, given_up_at=NOW - 90 * days),
        delivery(display, made_at=NOW - 99 * days),
    ]
    with time_machine.travel(NOW, tick=False):
        did = do_round(TIDYING, at=NOW)
    assert did is not None
    assert did["told"] == 2
    assert list(Delivery.objects.order_by("pk")) == kept
    assert forget_old(at=NOW) == 0


def test_the_rounds_send_and_health_counts(far: Far, display: Receiver) -> None:
    for state in ({}, {}, {"given_up_at": NOW}, {"sent_at": NOW}):
        delivery(display, **state)
    (stands,) = sent_besides()
    assert (stands.waiting, stands.given_up) == (2, 1)
    assert ROUND in every_round()
    with time_machine.travel(NOW, tick=False):
        assert do_round(ROUND, at=NOW) == {"sent": 2, "failed": 0}
    assert sent_besides()[0].waiting == 0
