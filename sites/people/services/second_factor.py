"""A second factor: codes of half a minute from a phone, and recovery codes for a day without it.

Passkeys, beside the codes or in place of them, are in `passkeys.py`.

Source of the codes: RFC 6238 with its defaults (SHA-1, six digits, 30 seconds), as all programs
for phones make them, by the package `pyotp`. One step of leeway on either side for clocks that
differ: section 5.2 there.
"""

import secrets
from datetime import datetime, timedelta
from enum import Enum
from hmac import compare_digest

from django.db import transaction
from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.lazily import lazily
from sites.kernel.services.audit import note
from sites.kernel.services.secrets import hash_of
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Event, RecoveryCode, RoleWithSecondFactor, SecondFactor, User
from sites.models.base import REF_ALPHABET
from sites.people.queries import people_for
from sites.people.services.sealing import UnableToOpen, seal, unseal
from sites.people.services.sign_ins import end_sign_ins
from sites.people.services.telling import Changed, tell

pyotp = lazily("pyotp")

STEP_S = 30
LEEWAY_STEPS = 1
DIGITS = 6
MOST_WRONG = 6
LOCKED_FOR = timedelta(minutes=15)
RECOVERY_CODES = 10
# 24 of 26 letters are 112.8 bits: a plain hash of one cannot be searched through (ASVS 6.5.2).
RECOVERY_LETTERS = 24
# Those that were made before, 75 bits, work until new ones are made.
EARLIER_RECOVERY_LETTERS = 16
GROUP = 4


class UnableToChangeFactor(UnableToAct):
    """A second factor that cannot be set up, removed or reset."""


class Tried(Enum):
    """What came of a code."""

    CODE = "a code of the phone"
    RECOVERY = "a recovery code"
    PASSKEY = "a passkey"
    WRONG = "wrong"
    LOCKED = "locked"

    @property
    def is_right(self) -> bool:
        """Whether it lets in."""
        return self in (Tried.CODE, Tried.RECOVERY, Tried.PASSKEY)


def new_key() -> str:
    """Return a key for a phone, as base 32."""
    key: str = pyotp.random_base32()
    return key


def uri_of(key: str, user: User) -> str:
    """Return what the square on the page says to the phone."""
    uri: str = pyotp.TOTP(key).provisioning_uri(name=user.username, issuer_name="Rejoin")
    return uri


def factor_of(user: User) -> SecondFactor | None:
    """Return the second factor, or None where the person has none."""
    return SecondFactor.objects.filter(user=user).first()


def has_codes(user: User) -> bool:
    """Return whether a phone of the person makes codes; who has passkeys alone has none."""
    return SecondFactor.objects.filter(user=user).exclude(sealed_key="").exists()


def is_required(user: User) -> bool:
    """Return whether a role of the person asks for a second factor."""
    required = RoleWithSecondFactor.objects.values("role")
    return user.grants.filter(role__in=required).exists()


def lacks_factor(user: User) -> bool:
    """Return whether the person has to set one up before anything else."""
    return is_required(user) and factor_of(user) is None


def codes_left(user: User) -> int:
    """Return how many recovery codes still work."""
    return user.recovery_codes.filter(used_at=None).count()


@transaction.atomic
def set_up(user: User, *, key: str, code: str, at: datetime) -> list[str]:
    """Keep a second factor once its first code is right; return new recovery codes, this once.

    Raises:
        UnableToChangeFactor: the code is wrong, or there is a second factor already.
    """
    User.objects.select_for_update().get(pk=user.pk)
    factor = factor_of(user) or SecondFactor(user=user, made_at=at)
    if factor.sealed_key:
        raise UnableToChangeFactor(_("You have a second factor already. Remove it first."))
    step = _step_of(key, _folded(code), after=0, at=at)
    if step is None:
        raise UnableToChangeFactor(
            _("This code is wrong. Wait for the next one; check that the phone's clock is right."),
            field="code",
        )
    factor.sealed_key, factor.last_step = seal(key), step
    factor.save()
    note(Event.FACTOR_SET_UP, by=user, about=user)
    tell(user, Changed.FACTOR_ADDED)
    return new_codes(user, at=at)


@transaction.atomic
def make_recovery_codes(user: User, *, at: datetime) -> list[str]:
    """Make ten new recovery codes and return them, this one time; the old ones work no more."""
    tell(user, Changed.CODES)
    return new_codes(user, at=at)


def new_codes(user: User, *, at: datetime) -> list[str]:
    """Put ten new recovery codes in place of the old ones; return them."""
    codes = [_new_code() for _each in range(RECOVERY_CODES)]
    user.recovery_codes.all().delete()
    RecoveryCode.objects.bulk_create(
        RecoveryCode(user=user, code_hash=hash_of(_folded(code)), made_at=at) for code in codes
    )
    note(Event.RECOVERY_MADE, by=user, about=user)
    return codes


@transaction.atomic
def remove_factor(user: User) -> None:
    """Remove one's own second factor.

    Raises:
        UnableToChangeFactor: there is none, or a role asks for it.
    """
    if is_required(user):
        raise UnableToChangeFactor(
            _("Your role asks for a second factor. On a new phone: ask an owner to reset it.")
        )
    if not SecondFactor.objects.filter(user=user).delete()[0]:
        raise UnableToChangeFactor(_("There is no second factor."))
    user.recovery_codes.all().delete()
    note(Event.FACTOR_REMOVED, by=user, about=user)
    tell(user, Changed.FACTOR_REMOVED)


@transaction.atomic
def try_code(user: User, typed: str, *, at: datetime) -> Tried:
    """Say whether what was typed lets in, and count it: six wrong ones lock for 15 minutes."""
    factor = SecondFactor.objects.select_for_update().filter(user=user).first()
    if factor is None:
        return Tried.WRONG
    if factor.locked_until is not None and at < factor.locked_until:
        return Tried.LOCKED
    tried = _tried(factor, _folded(typed), at=at)
    if tried.is_right:
        factor.wrong_tries, factor.locked_until = 0, None
        if tried is Tried.RECOVERY:
            note(Event.RECOVERY_USED, by=user, about=user, detail=f"{codes_left(user)} left")
    else:
        factor.wrong_tries += 1
        note(Event.SIGN_IN_FAILED, about=user.username, detail="second factor")
        if factor.wrong_tries >= MOST_WRONG:
            factor.wrong_tries, factor.locked_until = 0, at + LOCKED_FOR
            note(Event.LOCKED_OUT, about=user.username, detail="second factor")
    factor.save()
    return tried


@verb(
    name="reset a second factor",
    action=Action.MANAGE_PEOPLE,
    guard="not one's own; of a person whom the user manages; there is one",
    undo="nothing: the person sets up a new one",
)
def reset_factor(*, by: User, user: User) -> None:
    """Remove a person's second factor, who lost phone and codes; their sign-ins end too."""
    if by.pk == user.pk:
        raise UnableToChangeFactor(_("Your own is changed in your settings."))
    if not people_for(by).filter(pk=user.pk).exists():
        raise UnableToChangeFactor(_("You do not manage this person."))
    if not SecondFactor.objects.filter(user=user).delete()[0]:
        raise UnableToChangeFactor(_("They have no second factor."))
    user.recovery_codes.all().delete()
    note(Event.FACTOR_REMOVED, by=by, about=user, detail="reset")
    tell(user, Changed.FACTOR_REMOVED)
    end_sign_ins(user)


def _tried(factor: SecondFactor, typed: str, *, at: datetime) -> Tried:
    if len(typed) in (RECOVERY_LETTERS, EARLIER_RECOVERY_LETTERS):
        unused = RecoveryCode.objects.filter(user=factor.user_id, used_at=None)
        used = unused.filter(code_hash=hash_of(typed)).update(used_at=at)
        return Tried.RECOVERY if used else Tried.WRONG
    if not factor.sealed_key:
        return Tried.WRONG
    try:
        key = unseal(factor.sealed_key)
    except UnableToOpen:
        return Tried.WRONG
    step = _step_of(key, typed, after=factor.last_step, at=at)
    if step is None:
        return Tried.WRONG
    factor.last_step = step
    return Tried.CODE


def _step_of(key: str, typed: str, *, after: int, at: datetime) -> int | None:
    """Return the step whose code this is, or None where it is wrong or was taken before."""
    if len(typed) != DIGITS or not typed.isascii():
        return None
    now = int(at.timestamp()) // STEP_S
    totp = pyotp.TOTP(key)
    for step in range(now - LEEWAY_STEPS, now + LEEWAY_STEPS + 1):
        if step > after and compare_digest(totp.generate_otp(step), typed):
            return step
    return None


def _new_code() -> str:
    letters = "".join(secrets.choice(REF_ALPHABET) for _each in range(RECOVERY_LETTERS))
    return "-".join(letters[at : at + GROUP] for at in range(0, RECOVERY_LETTERS, GROUP))


def _folded(typed: str) -> str:
    return "".join(each for each in typed.casefold() if each.isalnum())
