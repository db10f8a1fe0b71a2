"""The daily mail: who wants it, at which hour, and the link in it that ends it at one click."""

from django.conf import settings
from django.core import signing
from django.urls import reverse
from django.utils.translation import gettext as _

from faults.models import DigestChoice
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import User

DIGEST_KEY = "digest:"
SALT = "faults.digest"
LAST_HOUR = 23


class UnableToChooseDigest(UnableToAct):
    """The daily mail cannot be set so."""


def digest_choice(user: User) -> DigestChoice:
    """Return what the user chose, or what holds for everybody who chose nothing."""
    return DigestChoice.objects.filter(user=user).first() or DigestChoice(user=user)


@verb(
    name="choose the daily mail",
    action=Action.SEE_WORK,
    guard="an hour of the day, 0 to 23",
    undo="choose the daily mail again",
)
def choose_digest(*, user: User, is_wanted: bool, at_hour: int) -> None:
    """Keep whether a user wants the daily mail, and from which hour on."""
    if not 0 <= at_hour <= LAST_HOUR:
        raise UnableToChooseDigest(_("Choose an hour from 0 to 23."), field="at_hour")
    row, _made = DigestChoice.objects.select_for_update().get_or_create(user=user)
    row.is_wanted, row.at_hour = is_wanted, at_hour
    row.save()


def unsubscribe_url(user_id: int) -> str:
    """Return the address that ends the daily mail of one user. It opens nothing else."""
    token = signing.dumps(user_id, salt=SALT).replace(":", "~")
    return settings.SITE_URL + reverse("faults:unsubscribe", args=[token])


def user_of(token: str) -> User | None:
    """Return whose mail a link ends, or None where nobody made that link."""
    try:
        user_id = signing.loads(token.replace("~", ":"), salt=SALT)
    except signing.BadSignature:
        return None
    return User.objects.filter(pk=user_id).first()
