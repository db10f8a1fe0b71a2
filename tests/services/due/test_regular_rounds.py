"""A regular round is done once in its period, however many ask for it, and heals itself."""

from collections.abc import Callable
from datetime import datetime, timedelta
from io import StringIO
from typing import Any

import pytest
import time_machine
from django.core.management import call_command

from faults.due.services import regular
from faults.due.services.health import rounds_now
from faults.due.services.outbox import send_waiting
from faults.due.services.regular import QUARTER, Round, do_all_rounds, do_round
from faults.models import Beat, FollowUp, OutgoingMail
from sites.kernel.engines.roles import Role
from sites.models import Stopgap
from tests import make, make_due
from tests.make import NOW

pytestmark = pytest.mark.django_db


@pytest.fixture
def calls(monkeypatch: pytest.MonkeyPatch) -> list[datetime]:
    """The moments at which the round of these tests was done."""
    return []


@pytest.fixture
def counting(calls: list[datetime]) -> Round:
    """A round that only counts."""

    def count(*, at: datetime, go_on: Callable[[], None]) -> dict[str, int]:
        calls.append(at)
        go_on()
        return {"calls": len(calls)}

    return Round("counting", count, QUARTER)


@pytest.fixture
def failing() -> Round:
    """A round that breaks."""

    def fail(*, at: datetime, go_on: Callable[[], None]) -> dict[str, int]:
        raise RuntimeError("the disk is full")

    return Round("failing", fail, QUARTER)


def now(minutes: float = 0) -> datetime:
    """Return NOW, which is a full hour, and some minutes."""
    return NOW + timedelta(minutes=minutes)


def do(one: Round, minutes: float, **more: Any) -> dict[str, int] | None:
    """Do a round so many minutes after NOW."""
    with time_machine.travel(now(minutes), tick=False):
        return do_round(one, at=now(minutes), **more)


def test_two_beats_do_it_once_a_period(counting: Round, calls: list[datetime]) -> None:
    assert do(counting, 0.1) == {"calls": 1}
    assert [do(counting, 0.2), do(counting, 14.9)] == [None, None]
    assert do(counting, 15) == {"calls": 2}
    assert len(calls) == 2


def test_a_missed_beat_is_made_good_by_the_next(counting: Round) -> None:
    do(counting, 0)
    assert do(counting, 200) == {"calls": 2}


def test_anew_does_what_the_period_has_done(counting: Round) -> None:
    do(counting, 1)
    assert do(counting, 2, force=True) == {"calls": 2}


def test_a_round_that_somebody_is_at_is_left_to_them(counting: Round) -> None:
    Beat.objects.create(name="counting", began_at=now(), claimed_until=now(2))
    assert do(counting, 1) is None
    assert do(counting, 1, force=True) is None


def test_a_round_whose_worker_was_killed_is_done_when_its_claim_has_run_out(
    counting: Round,
) -> None:
    Beat.objects.create(name="counting", began_at=now(), claimed_until=now(2))
    assert do(counting, 2) == {"calls": 1}


def test_a_failure_is_told_and_the_next_try_may_come_at_once(failing: Round) -> None:
    for minutes in (1, 2):
        with pytest.raises(RuntimeError):
            do(failing, minutes)
    row = Beat.objects.get(name="failing")
    assert (row.last_error, row.failed_at) == ("RuntimeError: the disk is full", now(2))
    assert (row.ended_at, row.claimed_until) == (None, None)


def test_a_failed_round_does_not_keep_the_others_from_being_done(
    failing: Round, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(regular, "QUARTER_HOURLY", [failing])
    told = do_all_rounds(at=NOW)
    assert told["failing"] == "RuntimeError: the disk is full"
    assert all(isinstance(did, dict) for name, did in told.items() if name != "failing")
    with pytest.raises(SystemExit):
        call_command("run_due", "--now", stdout=StringIO())


def on_a_timer() -> Stopgap:
    """A station on a battery timer, at the first property: its clock was never checked up."""
    station = make.station()
    timer = make.device(property=station.controller.property)
    return make.stopgap(station=station, device=timer)


def test_one_command_raises_writes_and_sends() -> None:
    make.user(Role.OWNER, email="olive@example.org")
    on_a_timer()
    out = StringIO()
    with time_machine.travel(NOW, tick=False):
        call_command("run_due", stdout=out)
        assert "follow-ups: 2 raised" in out.getvalue()  # battery, check-up
        assert "mail: 1 sent" in out.getvalue()
        again = StringIO()
        call_command("run_due", stdout=again)
    assert again.getvalue().count("done already") == 16
    assert FollowUp.objects.exists()
    assert OutgoingMail.objects.get().sent_at == NOW


def test_health_says_which_round_is_late() -> None:
    with time_machine.travel(NOW, tick=False):
        do_all_rounds(at=NOW)
    assert [each.name for each in rounds_now(at=now(1)) if each.is_late] == []
    late = {each.name for each in rounds_now(at=now(50)) if each.is_late}
    assert late == {
        *("runs", "waits", "water", "summaries", "rounds", "report series"),
        *("central's lists", "reports compared", "kept answers"),
        *("follow-ups", "digests", "mail", "programs told"),
    }
    assert Beat.objects.count() == 16


def test_every_task_and_beat_leads_to_a_round(settings: Any) -> None:
    from celery import current_app

    names = {each["task"] for each in settings.CELERY_BEAT_SCHEDULE.values()}
    current_app.loader.import_default_modules()
    assert names <= set(current_app.tasks)


def test_nine_days_without_a_beat_lose_nothing_and_double_nothing() -> None:
    """The next round raises what fell due meanwhile, once each, as if none had been missed."""
    make.user(Role.OWNER, email="olive@example.org")
    gap = on_a_timer()
    with time_machine.travel(NOW, tick=False):
        do_all_rounds(at=NOW)
    first = set(FollowUp.objects.values_list("kind", "cause"))
    # Soon after the last round the client is asked; then nothing runs for nine days.
    fault = make.fault(gap.station)
    make_due.asked(fault=fault, asked_on=NOW.date())
    late = NOW + timedelta(days=9)
    with time_machine.travel(late, tick=False):
        do_all_rounds(at=late)
        missed = set(FollowUp.objects.values_list("kind", "cause")) - first
        assert {kind for kind, _ in missed} >= {"chase the client"}
        everything = FollowUp.objects.count()
        do_all_rounds(at=late, force=True)
    assert FollowUp.objects.count() == everything
    days = {mail.key.rsplit(":", 1)[1] for mail in OutgoingMail.objects.all()}
    assert days == {NOW.date().isoformat(), late.date().isoformat()}


@pytest.mark.parametrize(
    ("ahead", "runs"),
    [
        (timedelta(minutes=59), False),
        (timedelta(hours=1), False),
        (timedelta(hours=1, seconds=1), True),
        (timedelta(days=31), True),
    ],
)
def test_a_round_that_ended_in_the_future_is_not_done(
    counting: Round, calls: list[datetime], ahead: timedelta, runs: bool
) -> None:
    Beat.objects.create(name="counting", ended_at=NOW + ahead, claimed_until=None)
    do(counting, 0)
    assert bool(calls) is runs
    if runs:
        do(counting, 1)
        assert len(calls) == 1


def test_a_claim_of_the_far_future_is_no_claim(counting: Round, calls: list[datetime]) -> None:
    Beat.objects.create(name="counting", claimed_until=NOW + timedelta(days=31))
    do(counting, 0)
    assert len(calls) == 1


def test_a_mail_put_off_while_the_clock_ran_ahead_is_sent(settings: Any) -> None:
    make_due.mail(next_try_at=NOW + timedelta(days=31))
    make_due.mail(next_try_at=NOW + timedelta(hours=6))
    with time_machine.travel(NOW, tick=False):
        assert send_waiting(at=NOW, go_on=lambda: None) == {"sent": 1, "failed": 0}
