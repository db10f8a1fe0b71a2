"""How people get in: second factors, sign-ins that hold, and the log of what matters."""

import re

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from sites.models.people import ROLE_CHOICES

CODE_HASH_LENGTH = 64


class SecondFactor(models.Model):
    """The second thing that signing in asks for; without a row there is none.

    `sealed_key` is what a phone makes codes from, empty where the person has passkeys alone. It is
    sealed: who reads the database, or a backup of it, cannot make codes.
    """

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="second_factor"
    )
    sealed_key = models.TextField()
    made_at = models.DateTimeField()
    # The half minute whose code was taken last: neither it nor an earlier one is taken again.
    last_step = models.BigIntegerField(default=0)
    wrong_tries = models.PositiveSmallIntegerField(default=0)
    locked_until = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.user}"


class Passkey(models.Model):
    """A key pair that a device of the person holds; here lies its public half alone."""

    factor = models.ForeignKey(SecondFactor, on_delete=models.CASCADE, related_name="passkeys")
    name = models.CharField(_("name"), max_length=60)
    # As the device names it, in base64url: WebAuthn, 4, "credential ID".
    credential = models.TextField(unique=True)
    public_key = models.BinaryField()
    # How often the device says that it has signed; some always say 0.
    signed = models.BigIntegerField(default=0)
    made_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.name


class RecoveryCode(models.Model):
    """One code for a day without the phone; only its hash is kept, and it works once."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="recovery_codes"
    )
    code_hash = models.CharField(max_length=CODE_HASH_LENGTH)
    made_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint("user", "code_hash", name="recovery_code_given_once"),
        ]

    def __str__(self) -> str:
        return f"{self.user}"


class RoleWithSecondFactor(models.Model):
    """A role whose people do not get on without a second factor."""

    role = models.CharField(_("role"), max_length=24, choices=ROLE_CHOICES, unique=True)

    def __str__(self) -> str:
        return self.role


# What browsers send besides their own name, RFC 9110, 10.1.5.
_ENGINES = {"Mozilla", "AppleWebKit", "Gecko", "Version", "Mobile"}
_PRODUCT = re.compile(r"([A-Za-z]+)/[\w.]+")


def recognised(agent: str) -> str:
    """Return the machine and the browser that a User-Agent names; what is not like one as it is."""
    machine = agent.partition("(")[2].partition(")")[0]
    outside = re.sub(r"\([^)]*\)", " ", agent)
    products = [each for each in _PRODUCT.findall(outside) if each not in _ENGINES]
    if not machine or not products:
        return agent
    # Others say that they are like this one; only itself stands alone.
    own = [each for each in products if each != "Safari"] or products
    return f"{machine}, {own[-1]}"


class SignedIn(models.Model):
    """One device on which a person is signed in, as long as its session holds."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="sign_ins"
    )
    session_key = models.CharField(max_length=40)
    device = models.CharField(_("device"), max_length=200, blank=True)
    address = models.CharField(_("address"), max_length=45, blank=True)
    began_at = models.DateTimeField()
    seen_at = models.DateTimeField()

    class Meta:
        indexes = [models.Index("session_key", name="signed_in_by_session")]

    def __str__(self) -> str:
        return f"{self.user}: {self.device}"

    @property
    def device_words(self) -> str:
        """What a person recognises in it: on which machine, with which browser."""
        return recognised(self.device)


class Event(models.TextChoices):
    """What the log notes."""

    SIGNED_IN = "signed in", _("signed in")
    SIGN_IN_FAILED = "sign-in failed", _("sign-in failed")
    LOCKED_OUT = "locked out", _("locked after wrong tries")
    SIGNED_OUT = "signed out", _("signed out")
    SIGN_INS_ENDED = "sign-ins ended", _("sign-ins ended")
    PASSWORD = "password", _("password set")
    FACTOR_SET_UP = "factor set up", _("second factor set up")
    FACTOR_REMOVED = "factor removed", _("second factor removed")
    FACTOR_RULE = "factor rule", _("rule of second factors changed")
    PASSKEY_ADDED = "passkey added", _("passkey added")
    PASSKEY_REMOVED = "passkey removed", _("passkey removed")
    RECOVERY_MADE = "recovery made", _("recovery codes made")
    RECOVERY_USED = "recovery used", _("recovery code used")
    INVITED = "invited", _("invited")
    ROLE_GIVEN = "role given", _("role given")
    ROLE_TAKEN = "role taken", _("role taken away")
    ACCESS_ENDED = "access ended", _("access ended")
    ACCESS_BACK = "access back", _("let in again")
    ADMIN = "admin", _("changed in /admin/")
    TOKEN_MADE = "token made", _("token made")
    TOKEN_REVOKED = "token revoked", _("token revoked")
    HOOK_SET_UP = "hook set up", _("program to be told: set up")
    HOOK_CHANGED = "hook changed", _("program to be told: changed")
    HOOK_SECRET = "hook secret", _("program to be told: new secret")
    HOOK_SWITCHED = "hook switched", _("program to be told: switched on or off")
    EXPORTED = "exported", _("exported")
    PRICES = "prices", _("prices changed")
    RESTORED = "restored", _("restored from a backup")


class AuditLine(models.Model):
    """One thing that happened. The database refuses to change or delete a line.

    Names are kept as text, so that a line says the same for ever. `by` has no rule of the
    database: a line must never keep a change of people from being written.
    """

    at = models.DateTimeField(_("when"), default=timezone.now, db_index=True)
    event = models.CharField(_("what"), max_length=24, choices=Event.choices)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.DO_NOTHING,
        db_constraint=False,
        null=True,
        related_name="+",
    )
    by_name = models.CharField(_("who"), max_length=150, blank=True)
    about = models.CharField(_("about"), max_length=200, blank=True)
    detail = models.CharField(_("detail"), max_length=300, blank=True)
    address = models.CharField(_("address"), max_length=45, blank=True)
    device = models.CharField(_("device"), max_length=200, blank=True)

    def __str__(self) -> str:
        return f"{self.event}: {self.about}"
