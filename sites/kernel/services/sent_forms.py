"""Take each opened form once, whatever is pressed twice or sent again by a slow line."""

import hashlib
from collections.abc import Iterable
from datetime import datetime, timedelta
from uuid import UUID, uuid4

from django.db import IntegrityError, transaction

from sites.models import SentForm, User

# Not typed by anyone, and different in the same form when it is shown again.
NOT_TYPED = frozenset({"csrfmiddlewaretoken", "stamp", "once"})
KEPT_FOR = timedelta(days=30)


class SentBefore(Exception):
    """The form was taken already; `row` says as what."""

    def __init__(self, row: SentForm) -> None:
        super().__init__(row.said)
        self.row = row


def key_of(text: str) -> UUID:
    """Return the key that a form carries, or a new one where it carries none that can be read."""
    try:
        return UUID(text)
    except ValueError:
        return uuid4()


def digest_of(typed: Iterable[tuple[str, list[str]]]) -> str:
    """Return a hash of all that was typed: (name of the field, its values)."""
    rows = sorted((name, values) for name, values in typed if name not in NOT_TYPED)
    return hashlib.sha256(repr(rows).encode("utf-8", "surrogatepass")).hexdigest()


def take_once(*, key: UUID, user: User, digest: str, at: datetime) -> SentForm:
    """Claim a form's key inside the transaction of its verb; undone with it.

    Two presses at once: the second waits for the first and then finds its row.

    Raises:
        SentBefore: it was taken already.
    """
    try:
        with transaction.atomic():
            return SentForm.objects.create(key=key, user=user, digest=digest, taken_at=at)
    except IntegrityError:
        raise SentBefore(SentForm.objects.get(key=key)) from None


def note_outcome(row: SentForm, *, said: str, led_to: str) -> None:
    """Keep what the user was told and where the form led."""
    row.said, row.led_to = said[:400], led_to[:300]
    row.save(update_fields=["said", "led_to"])


def forget_sent_forms(*, at: datetime) -> int:
    """Delete keys of long ago; nobody has such a form open any more."""
    deleted, _ = SentForm.objects.filter(taken_at__lt=at - KEPT_FOR).delete()
    return deleted
