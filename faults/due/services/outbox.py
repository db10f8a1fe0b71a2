"""The outbox: a mail is decided on in a transaction and sent afterwards, at least once.

A sender claims the mail by one conditional UPDATE. If it is killed after sending and before
recording it, the mail is sent again under the same Message-ID, by which mailboxes deduplicate.
"""

from collections.abc import Callable
from datetime import datetime, timedelta
from email.utils import make_msgid

from celery import current_app
from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction
from django.db.models import F, Q
from django.utils import timezone
from django.utils.translation import gettext as _
from kombu.exceptions import OperationalError

from faults.due.services.unsubscribing import DIGEST_KEY, unsubscribe_url
from faults.models import OutgoingMail
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb

MOST_TRIES = 8
FIRST_WAIT = timedelta(minutes=2)
LONGEST_WAIT = timedelta(hours=6)
KEPT_FOR = timedelta(days=90)
LONGEST_ERROR = 300
# A mail that holds a private address: what it says is dropped as soon as it is sent.
PRIVATE_KEY = "private:"


class UnableToSendAgain(UnableToAct):
    """The mail was not given up."""


def new_message_id(of: str) -> str:
    """Return a Message-ID of ours (RFC 5322) that tells what the mail is of."""
    domain = settings.SITE_URL.split("://")[1].split("/")[0].split(":")[0]
    return make_msgid(idstring=of, domain=domain)


def put_out(mail: OutgoingMail) -> bool:
    """Queue a mail in the outbox, inside the caller's transaction.

    Returns:
        Whether it is new: a key is put out once.
    """
    if OutgoingMail.objects.filter(key=mail.key).exists():
        return False
    with transaction.atomic():
        OutgoingMail.objects.bulk_create([mail], ignore_conflicts=True)
        kept = OutgoingMail.objects.get(key=mail.key)
    if kept.message_id != mail.message_id:
        return False
    transaction.on_commit(lambda: _ask_to_send(kept.pk))
    return True


def _ask_to_send(mail_id: int) -> None:
    ask_a_worker("faults.send_mail", mail_id=mail_id)


def ask_a_worker(task: str, **named: int) -> None:
    """Let a worker send soon. Without a queue that answers, the next round finds what waits."""
    if not settings.REDIS_URL:
        return
    try:
        current_app.send_task(task, kwargs=named, retry=False)
    except (OperationalError, OSError):
        return


def waiting_to_be_sent(*, at: datetime, longest_wait: timedelta = LONGEST_WAIT) -> Q:
    """Return the condition that keeps what an outbox, of mails or others, may try now."""
    # Further ahead than the longest wait: written while the clock ran ahead.
    ahead = at + 2 * longest_wait
    free = Q(claimed_until__isnull=True) | Q(claimed_until__lte=at) | Q(claimed_until__gt=ahead)
    is_time = Q(next_try_at__lte=at) | Q(next_try_at__gt=ahead)
    return free & is_time & Q(sent_at=None, given_up_at=None)


def send_waiting(*, at: datetime, go_on: Callable[[], None]) -> dict[str, int]:
    """Send all mails whose time has come, the longest waiting first."""
    told = {"sent": 0, "failed": 0}
    rows = OutgoingMail.objects.filter(waiting_to_be_sent(at=at)).order_by("next_try_at", "pk")
    for mail_id in list(rows.values_list("pk", flat=True)):
        is_sent = send_one(mail_id=mail_id, at=at)
        if is_sent is not None:
            told["sent" if is_sent else "failed"] += 1
        go_on()
    return told


def send_one(*, mail_id: int, at: datetime) -> bool | None:
    """Claim one mail and send it.

    Returns:
        Whether it was sent, or None where another process has claimed it or it is not to be sent.
    """
    mine = OutgoingMail.objects.filter(waiting_to_be_sent(at=at), pk=mail_id)
    until = timezone.now() + timedelta(seconds=settings.MAIL_LEASE_S)
    if not mine.update(claimed_until=until, tries=F("tries") + 1):
        return None
    mail = OutgoingMail.objects.get(pk=mail_id)
    try:
        _message(mail).send()
    except Exception as error:
        _failed(mail, error)
        return False
    text = "" if mail.key.startswith(PRIVATE_KEY) else mail.text
    OutgoingMail.objects.filter(pk=mail.pk).update(
        sent_at=timezone.now(), claimed_until=None, last_error="", text=text
    )
    return True


def _message(mail: OutgoingMail) -> EmailMessage:
    headers = {"Message-ID": mail.message_id, "Auto-Submitted": "auto-generated"}
    if mail.user_id and mail.key.startswith(DIGEST_KEY):
        headers["List-Unsubscribe"] = f"<{unsubscribe_url(mail.user_id)}>"
        headers["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    return EmailMessage(mail.subject, mail.text, to=[mail.to], headers=headers)


def _failed(mail: OutgoingMail, error: Exception) -> None:
    """Schedule a retry with doubled backoff; after the last one a person has to look at it."""
    now = timezone.now()
    wait = min(FIRST_WAIT * 2 ** (mail.tries - 1), LONGEST_WAIT)
    OutgoingMail.objects.filter(pk=mail.pk).update(
        claimed_until=None,
        next_try_at=now + wait,
        given_up_at=now if mail.tries >= MOST_TRIES else None,
        last_error=f"{type(error).__name__}: {error}"[:LONGEST_ERROR],
    )


def forget_old_mail(*, at: datetime, go_on: Callable[[], None]) -> dict[str, int]:
    """Drop mails that were sent long ago."""
    old = OutgoingMail.objects.filter(sent_at__lt=at - KEPT_FOR)
    number, _each = old.delete()
    go_on()
    return {"dropped": number}


@verb(
    name="try to send a mail again",
    action=Action.SEE_HEALTH,
    guard="it was given up",
    undo="none: a mail that was sent cannot be called back",
)
def try_again(*, mail: OutgoingMail, at: datetime) -> None:
    """Retry a mail that was given up: its attempts start over."""
    given_up = OutgoingMail.objects.filter(pk=mail.pk, given_up_at__isnull=False)
    if not given_up.update(given_up_at=None, tries=0, next_try_at=at, claimed_until=None):
        raise UnableToSendAgain(_("This mail was not given up: it is sent, or will be tried."))
    transaction.on_commit(lambda: _ask_to_send(mail.pk))
