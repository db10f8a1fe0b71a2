"""The link by which an invited person sets a password: for once, and for a week.

Its signature holds the state of the account, so that the first password, a second invitation and
the end of the access each make it useless; nothing about it is stored. Our own beside Django's
link for a forgotten password, because that one ends after a day and is asked for by its user.
"""

from datetime import timedelta

from django.conf import settings
from django.core.mail import send_mail
from django.core.signing import BadSignature, TimestampSigner
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.crypto import constant_time_compare, salted_hmac
from django.utils.translation import gettext as _
from django.utils.translation import override

from sites.models import User

HOLDS_FOR = timedelta(days=7)
_SIGNER = TimestampSigner(salt="sites.people.invitations")


def invitation_token(user: User) -> str:
    """Return what stands in the address of the invitation."""
    return _SIGNER.sign(f"{user.pk}-{_state(user)}").replace(":", ".")


def invited_by(token: str) -> User | None:
    """Return the person whom a token invites, or None where it is used, ended, too old or false."""
    try:
        said = _SIGNER.unsign(token.replace(".", ":"), max_age=HOLDS_FOR)
    except BadSignature:
        return None
    key, _dash, state = said.partition("-")
    user = User.objects.filter(pk=int(key), is_active=True).first()
    return user if user and constant_time_compare(state, _state(user)) else None


def send_invitation(user: User, *, by: User) -> None:
    """Send the link, in the language of the person who gets it.

    Raises:
        OSError: the mail could not be handed over.
    """
    link = settings.SITE_URL + reverse("sites:invited", args=[invitation_token(user)])
    with override(user.language):
        text = render_to_string(
            "sites/people/invitation.txt",
            {"user": user, "by": by, "link": link, "days": HOLDS_FOR.days},
        )
        subject = _("%s invites you to Rejoin") % by
    send_mail(" ".join(subject.split()), text, None, [user.email])


def _state(user: User) -> str:
    said = f"{user.pk}|{user.password}|{user.email}|{user.last_login}"
    return salted_hmac("sites.people.invitations", said, algorithm="sha256").hexdigest()[:32]
