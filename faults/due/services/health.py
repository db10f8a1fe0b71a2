"""How the service runs: the database, the queue, workers, rounds and mails.

Every check has a short timeout: this is called when something is broken.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from celery import current_app
from django.conf import settings
from django.db import DatabaseError, connection
from django.db.models import QuerySet
from kombu.exceptions import KombuError

from faults.due.services.regular import CLOCK_RAN_AHEAD, Round, every_round
from faults.models import Beat, OutgoingMail
from sites.kernel.lazily import lazily

redis = lazily("redis")

ANSWER_WITHIN_S = 1.0
QUEUE = "celery"
MOST_MAILS = 50
SHORTEST_LATE = timedelta(minutes=30)


def is_database_there() -> bool:
    """Return whether the database answers."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError:
        return False
    return True


def queue_length() -> int | None:
    """Return how many tasks wait, or None where Redis does not answer."""
    client = redis.Redis.from_url(
        settings.REDIS_URL,
        socket_connect_timeout=ANSWER_WITHIN_S,
        socket_timeout=ANSWER_WITHIN_S,
        retry=None,
    )
    try:
        return int(client.llen(QUEUE))
    except (redis.RedisError, OSError):
        return None
    finally:
        client.close()


def is_well() -> bool:
    """Return whether this process can work: its database, and Redis where one is set."""
    return is_database_there() and (not settings.REDIS_URL or queue_length() is not None)


@dataclass(frozen=True)
class Queue:
    """How the queue stands. `is_used` is false where no Redis is set."""

    is_used: bool
    is_reachable: bool = False
    length: int | None = None
    workers: list[str] = field(default_factory=list)


def queue_now() -> Queue:
    """Return how the queue stands, asking workers only where Redis answers."""
    if not settings.REDIS_URL:
        return Queue(is_used=False)
    length = queue_length()
    if length is None:
        return Queue(is_used=True)
    return Queue(True, True, length, _workers())


def _workers() -> list[str]:
    try:
        answers = current_app.control.ping(timeout=ANSWER_WITHIN_S)
    except (KombuError, redis.RedisError, OSError):
        return []
    return sorted(name for answer in answers or [] for name in answer)


@dataclass(frozen=True)
class RoundState:
    """How one regular round stands."""

    name: str
    began_at: datetime | None
    ended_at: datetime | None
    failed_at: datetime | None
    last_error: str
    did: dict[str, int]
    is_late: bool
    ran_ahead: bool

    @property
    def has_failed_last(self) -> bool:
        """Whether its last end was a bad one."""
        return self.failed_at is not None and (
            self.ended_at is None or self.failed_at > self.ended_at
        )


def rounds_now(*, at: datetime) -> list[RoundState]:
    """Return how each round stands; late is one that missed three of its periods."""
    rows = {row.name: row for row in Beat.objects.order_by("pk")}
    return [_state(one, rows.get(one.name) or Beat(name=one.name), at) for one in every_round()]


def _state(one: Round, row: Beat, at: datetime) -> RoundState:
    allowed = max(3 * one.every, SHORTEST_LATE)
    # What never ran is not late: the page says so for all of them.
    is_late = row.ended_at is not None and at - row.ended_at > allowed
    return RoundState(
        one.name,
        row.began_at,
        row.ended_at,
        row.failed_at,
        row.last_error,
        row.did,
        is_late,
        row.ended_at is not None and row.ended_at > at + CLOCK_RAN_AHEAD,
    )


@dataclass(frozen=True)
class Mails:
    """How the outbox stands."""

    waiting: int
    given_up: list[OutgoingMail]
    troubled: list[OutgoingMail]


def mails_now() -> Mails:
    """Return how many mails wait, and which went wrong."""
    waiting, gone = mails_that_wait(), mails_that_may_be_tried_again()
    return Mails(
        waiting.count(),
        list(gone.order_by("-given_up_at", "-pk")[:MOST_MAILS]),
        list(waiting.exclude(last_error="").order_by("next_try_at", "pk")[:MOST_MAILS]),
    )


@dataclass(frozen=True)
class Sent:
    """How something else that is sent out stands: how much, and where to look.

    `name` is for machines, `heading` in the viewer's language.
    """

    name: str
    heading: str
    waiting: int
    given_up: int
    address: str


# What upper apps say of what they send.
SENT_BESIDES: list[Callable[[], Sent]] = []


def sent_besides() -> list[Sent]:
    """Return how all that upper apps send stands."""
    return [told() for told in SENT_BESIDES]


def mails_that_wait() -> QuerySet[OutgoingMail]:
    """Return the mails that are still to be sent."""
    return OutgoingMail.objects.filter(sent_at=None, given_up_at=None)


def mails_that_may_be_tried_again() -> QuerySet[OutgoingMail]:
    """Return the mails that were given up."""
    return OutgoingMail.objects.filter(given_up_at__isnull=False)
