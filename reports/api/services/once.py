"""What a program sends is taken once, however often a bad line makes it send it again."""

import hashlib
import json
from collections.abc import Callable
from dataclasses import asdict, dataclass, field
from datetime import datetime
from uuid import NAMESPACE_URL, uuid4, uuid5

from django.utils.translation import gettext as _

from sites.kernel.services.sent_forms import SentBefore, note_outcome, take_once
from sites.kernel.services.verbs import UnableToAct, as_one_change
from sites.models import ApiToken


class UnableToTakeAgain(UnableToAct):
    """The key of this request was used for another one."""


@dataclass(frozen=True)
class Outcome:
    """What a verb wrote: its reference, and numbers about it."""

    ref: str
    counts: dict[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Sent:
    """One request that writes: by which token, for which operation, under which key."""

    token: ApiToken
    operation: str
    key: str
    body: bytes
    at: datetime


def act_once(sent: Sent, act: Callable[[], Outcome]) -> tuple[Outcome, bool]:
    """Act and keep what came of it under the key, in one transaction.

    The same request again, at the same time or up to 30 days later, writes nothing and gets the
    first outcome: `(outcome, whether it was taken before)`. A refused one wrote nothing and is
    tried again. Without a key each request is a new one.

    Raises:
        UnableToTakeAgain: the key belongs to another request.
    """
    named = f"token-{sent.token.pk}/{sent.key}"
    key = uuid5(NAMESPACE_URL, named) if sent.key else uuid4()
    digest = hashlib.sha256(sent.operation.encode() + b"\0" + sent.body).hexdigest()
    try:
        with as_one_change():
            row = take_once(key=key, user=sent.token.user, digest=digest, at=sent.at)
            outcome = act()
            note_outcome(row, said=json.dumps(asdict(outcome)), led_to=sent.operation)
    except SentBefore as before:
        if before.row.digest != digest:
            raise UnableToTakeAgain(
                _("This Idempotency-Key was used for another request. Make a new one."),
                field="Idempotency-Key",
            ) from None
        return Outcome(**json.loads(before.row.said)), True
    return outcome, False
