"""Tasks of what falls due. Each loads what it needs and makes one call of a service."""

from typing import Any

from celery import shared_task
from celery.exceptions import SoftTimeLimitExceeded
from django.db import InterfaceError, OperationalError
from django.utils import timezone

from faults.due.services import outbox, regular

# A worker that is killed, or loses the database, returns the task to the queue; the claim of the
# round keeps it from running twice.
HOW: dict[str, Any] = {
    "acks_late": True,
    "reject_on_worker_lost": True,
    "soft_time_limit": 600,
    "time_limit": 660,
    "autoretry_for": (OperationalError, InterfaceError, ConnectionError),
    "retry_backoff": 5,
    "retry_backoff_max": 300,
    "retry_jitter": True,
    "max_retries": 5,
}


# A large register takes longer to be written and read back.
LONG: dict[str, Any] = {**HOW, "soft_time_limit": 6 * 3600, "time_limit": 6 * 3600 + 60}


@shared_task(name="faults.raise_follow_ups", **HOW)
def raise_follow_ups(**later: Any) -> None:
    """Bring what rules raise up to date."""
    regular.do_round(regular.FOLLOW_UPS, at=timezone.now())


@shared_task(name="faults.quarter_hour", **HOW)
def quarter_hour(**later: Any) -> None:
    """Do whatever else only the clock changes; one that fails does not stop the others."""
    failed = []
    for one in regular.QUARTER_HOURLY:
        try:
            regular.do_round(one, at=timezone.now())
        except SoftTimeLimitExceeded:
            raise
        except Exception as error:
            failed.append(error)
    if failed:
        raise failed[0]


@shared_task(name="faults.send_digests", **HOW)
def send_digests(**later: Any) -> None:
    """Write the daily mails of everybody whose hour has come."""
    regular.do_round(regular.DIGESTS, at=timezone.now())


@shared_task(name="faults.send_mail", **HOW)
def send_mail(*, mail_id: int | None = None, **later: Any) -> None:
    """Send one mail of the outbox, or all that wait."""
    if mail_id is not None:
        outbox.send_one(mail_id=mail_id, at=timezone.now())
    else:
        regular.do_round(regular.MAIL, at=timezone.now())


@shared_task(name="faults.tidy", **HOW)
def tidy(**later: Any) -> None:
    """Drop mails that were sent long ago."""
    regular.do_round(regular.TIDYING, at=timezone.now())


@shared_task(name="faults.learn", **HOW)
def learn(**later: Any) -> None:
    """Compute what finished searches say of the numbers that searches assume."""
    regular.do_round(regular.LEARNING, at=timezone.now())


@shared_task(name="faults.back_up", **LONG)
def back_up(**later: Any) -> None:
    """Make the backup of this day, where a folder for it is set."""
    regular.do_round(regular.BACKUP, at=timezone.now())
