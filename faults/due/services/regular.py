"""Periodic rounds: what runs each quarter of an hour or each day, once per period.

A round is claimed for its period by one conditional UPDATE on its row of `Beat`. Two beats, two
workers or a command beside them do no harm; a round that was missed or killed is retried by the
next caller, because the period has no good end yet and the claim (a lease) expires.
"""

import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Protocol

from django.conf import settings
from django.db.models import Q
from django.utils import timezone

from faults.due.services.backups import back_up_and_tell
from faults.due.services.digest import write_digests
from faults.due.services.outbox import forget_old_mail, send_waiting
from faults.due.services.raising import raise_by_rules
from faults.locating.services.learning import learn_from_searches
from faults.models import Beat
from faults.rounds.services.planning import plan_rounds_ahead
from faults.waits.services.waits import keep_waits_true
from sites.kernel.services.many import forget_ticked_acts
from sites.kernel.services.sent_forms import forget_sent_forms
from sites.people.services.sign_ins import forget_old_sign_ins
from sites.reconcile.services.folder import read_central_folder
from sites.runs.services import pick_up_runs
from sites.water.services.ledger import keep_water_true

logger = logging.getLogger(__name__)

LONGEST_ERROR = 300
# Further ahead than any lease, and than the clocks of two machines differ.
CLOCK_RAN_AHEAD = timedelta(hours=1)


class Service(Protocol):
    """What a round does. `go_on` tells between small steps that the round is alive."""

    def __call__(self, *, at: datetime, go_on: Callable[[], None]) -> dict[str, int]:
        """Run the round and return counts of what was done."""


@dataclass(frozen=True)
class Round:
    """A service that runs once in each period."""

    name: str
    service: Service
    every: timedelta

    def period_start(self, at: datetime) -> datetime:
        """Return when the period began that `at` lies in."""
        seconds = self.every.total_seconds()
        return datetime.fromtimestamp(at.timestamp() // seconds * seconds, UTC)


def _tidy(*, at: datetime, go_on: Callable[[], None]) -> dict[str, int]:
    """Delete what nobody looks at any more: mails, sign-ins, keys of forms, ticked rows."""
    mails = forget_old_mail(at=at, go_on=go_on)
    forgotten = forget_old_sign_ins(at=at)
    return {
        **mails,
        "sign-ins": forgotten,
        "keys": forget_sent_forms(at=at),
        "acts": forget_ticked_acts(at=at),
        **{name: forget(at=at) for name, forget in TIDIED_BESIDES.items()},
    }


# What upper apps want to be rid of, by the word for it: each returns how many rows went.
TIDIED_BESIDES: dict[str, Callable[..., int]] = {}

QUARTER = timedelta(minutes=15)
FOLLOW_UPS = Round("follow-ups", raise_by_rules, QUARTER)
DIGESTS = Round("digests", write_digests, QUARTER)
# Each mail has a claim and a time of its own, so that this round may come as often as it likes.
MAIL = Round("mail", send_waiting, timedelta(seconds=1))
TIDYING = Round("tidying", _tidy, timedelta(days=1))
LEARNING = Round("learning", learn_from_searches, timedelta(days=1))
BACKUP = Round("backup", back_up_and_tell, timedelta(days=1))

# Whatever else only the clock changes joins here, before the follow-ups that rest on it.
QUARTER_HOURLY: list[Round] = [
    Round("runs", pick_up_runs, QUARTER),
    Round("waits", keep_waits_true, QUARTER),
    Round("water", keep_water_true, QUARTER),
    Round("central's lists", read_central_folder, QUARTER),
    Round("rounds", plan_rounds_ahead, QUARTER),
]

# What upper apps send out, each with a rhythm and a task of its own.
SENT_BESIDES: list[Round] = []


def every_round() -> list[Round]:
    """Return all rounds in the order in which one process does them."""
    return [
        *QUARTER_HOURLY, FOLLOW_UPS, DIGESTS, MAIL, *SENT_BESIDES, TIDYING, LEARNING, BACKUP,
    ]  # fmt: skip


def do_round(one: Round, *, at: datetime, force: bool = False) -> dict[str, int] | None:
    """Run a round unless it succeeded in this period already, or another process runs it.

    Args:
        force: run it although it succeeded in this period.

    Returns:
        What was done, or None where there was nothing to do.
    """
    if not _claim(one, at, since=at if force else one.period_start(at)):
        return None
    lease = timedelta(seconds=settings.ROUND_LEASE_S)
    row = Beat.objects.filter(name=one.name)

    def go_on() -> None:
        row.update(claimed_until=timezone.now() + lease)

    try:
        did = one.service(at=at, go_on=go_on)
    except Exception as error:
        words = f"{type(error).__name__}: {error}"[:LONGEST_ERROR]
        row.update(claimed_until=None, failed_at=timezone.now(), last_error=words)
        logger.exception("The round of %s failed", one.name)
        raise
    row.update(claimed_until=None, ended_at=timezone.now(), did=did)
    return did


def _claim(one: Round, at: datetime, *, since: datetime) -> bool:
    Beat.objects.get_or_create(name=one.name)
    # A clock that ran ahead leaves ends and leases in the future: they say nothing of today.
    ahead = at + CLOCK_RAN_AHEAD
    free = Q(claimed_until__isnull=True) | Q(claimed_until__lte=at) | Q(claimed_until__gt=ahead)
    still_to_do = Q(ended_at__isnull=True) | Q(ended_at__lt=since) | Q(ended_at__gt=ahead)
    until = at + timedelta(seconds=settings.ROUND_LEASE_S)
    rows = Beat.objects.filter(free, still_to_do, name=one.name)
    return bool(rows.update(began_at=at, claimed_until=until))


def do_all_rounds(*, at: datetime, force: bool = False) -> dict[str, dict[str, int] | str | None]:
    """Run every round in this process; one that fails does not stop the others."""
    results: dict[str, dict[str, int] | str | None] = {}
    for one in every_round():
        try:
            results[one.name] = do_round(one, at=at, force=force)
        except Exception as error:
            results[one.name] = f"{type(error).__name__}: {error}"
    return results
