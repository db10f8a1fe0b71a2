"""A mail to a person when the ways to sign in as them have changed.

Who did it oneself reads past it; whose password was changed by somebody else learns it at once.
It holds no link that lets in and no password, only what happened, when, and what to do.
"""

import logging
from enum import Enum

from django.core.mail import send_mail
from django.db import transaction
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext, override
from django.utils.translation import gettext_lazy as _

from sites.models import User

logger = logging.getLogger(__name__)


class Changed(Enum):
    """What was changed, in the words of the mail."""

    PASSWORD = _("Your password was changed.")
    ADDRESS = _("The e-mail address of your account was changed.")
    FACTOR_ADDED = _("A second factor was set up for your account.")
    FACTOR_REMOVED = _("The second factor of your account was removed.")
    PASSKEY_ADDED = _("A passkey was added to your account.")
    PASSKEY_REMOVED = _("A passkey of your account was removed.")
    CODES = _("New recovery codes were made for your account; the old ones work no more.")


def tell(user: User, what: Changed, *, to: str = "") -> None:
    """Send it once the change is written, in the language of the person.

    A mail that cannot be handed over stops no change: a line of the log says so.

    Args:
        to: the address, where it is not the one that the person has now: after a change of
            address whoever reads the old one has to learn it.
    """
    address = to or user.email
    if address:
        transaction.on_commit(lambda: _send(user, what, address))


def _send(user: User, what: Changed, address: str) -> None:
    words: str | Promise = what.value
    with override(user.language), timezone.override(user.time_zone):
        at = timezone.localtime().strftime("%Y-%m-%d %H:%M %Z")
        context = {"user": user, "what": words, "at": at}
        text = render_to_string("sites/account/changed_mail.txt", context)
        subject = gettext("Rejoin: the way you sign in has changed")
    try:
        send_mail(subject, text, None, [address])
    except OSError:
        logger.warning("A person was not told of a change to their sign-in", exc_info=True)
