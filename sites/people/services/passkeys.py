"""Passkeys: a device signs what it was asked, for this address alone, in place of a code.

Source: Web Authentication, W3C, level 2, sections 7.1 and 7.2, by the package `fido2`. They are a
second factor after the password, so the device need not ask for a finger or a number of its own.
"""

import json
import struct
from datetime import datetime
from typing import Any, NamedTuple
from urllib.parse import urlsplit

from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from sites.kernel.lazily import lazily
from sites.kernel.services.audit import note
from sites.models import Event, Passkey, SecondFactor, User
from sites.people.services.second_factor import (
    Tried,
    UnableToChangeFactor,
    factor_of,
    new_codes,
    remove_factor,
)
from sites.people.services.telling import Changed, tell

fido2_server = lazily("fido2.server")
webauthn = lazily("fido2.webauthn")

MOST_PASSKEYS = 10
LONGEST_ANSWER = 20_000
NAME_LENGTH = 60
# What the package raises over an answer that is none; what is not listed is a mistake of ours.
_NO_ANSWER = (
    ValueError, TypeError, KeyError, AttributeError, IndexError, AssertionError, RecursionError,
    NotImplementedError, OverflowError, struct.error, InvalidSignature, UnsupportedAlgorithm,
)  # fmt: skip


class Asked(NamedTuple):
    """What a browser is asked to let a device sign, and what has to be kept until it answers."""

    options: dict[str, Any]
    kept: dict[str, Any]


def ask_to_make(user: User, *, origin: str) -> Asked:
    """Ask for a new key pair, of a device that has none of this person yet.

    Args:
        origin: scheme, host and port of the page, as the browser sees them.
    """
    options, kept = _server(origin).register_begin(
        {"id": str(user.pk).encode(), "name": user.username, "displayName": str(user)},
        _descriptors(user),
        resident_key_requirement="discouraged",
        user_verification="discouraged",
    )
    return Asked(_plain(options), kept)


@transaction.atomic
def add_passkey(
    user: User, *, name: str, answer: str, kept: dict[str, Any], origin: str, at: datetime
) -> list[str]:
    """Keep the public half of a new key pair.

    Args:
        answer: the browser's, as JSON.
        kept: of `ask_to_make`; it is asked once.

    Returns:
        Recovery codes where this is the person's first second factor, else none.

    Raises:
        UnableToChangeFactor: the answer does not fit, the key is known, or there are too many.
    """
    User.objects.select_for_update().get(pk=user.pk)
    if not (name := name.strip()[:NAME_LENGTH]):
        raise UnableToChangeFactor(
            _("Give it a name, so that you know which device it is on."), field="name"
        )
    try:
        made = _server(origin).register_complete(kept, _read(answer)).credential_data
        credential = webauthn.websafe_encode(made.credential_id)
    except _NO_ANSWER:
        raise UnableToChangeFactor(_("The device's answer does not fit. Try again.")) from None
    factor = factor_of(user)
    is_first = factor is None
    factor = factor or SecondFactor.objects.create(user=user, made_at=at)
    if factor.passkeys.count() >= MOST_PASSKEYS:
        raise UnableToChangeFactor(
            _("%d passkeys are the most. Remove one that you no longer use.") % MOST_PASSKEYS
        )
    try:
        with transaction.atomic():
            factor.passkeys.create(
                name=name, credential=credential, public_key=bytes(made), made_at=at
            )
    except IntegrityError:
        raise UnableToChangeFactor(_("This device has a passkey here already.")) from None
    note(Event.PASSKEY_ADDED, by=user, about=user, detail=name)
    tell(user, Changed.PASSKEY_ADDED)
    return new_codes(user, at=at) if is_first else []


def ask_to_show(user: User, *, origin: str) -> Asked | None:
    """Ask for a signature by one of the person's passkeys; None where there is none."""
    known = _descriptors(user)
    if not known:
        return None
    options, kept = _server(origin).authenticate_begin(known, user_verification="discouraged")
    return Asked(_plain(options), kept)


@transaction.atomic
def try_passkey(
    user: User, *, answer: str, kept: dict[str, Any] | None, origin: str, at: datetime
) -> Tried:
    """Say whether what a device signed lets in.

    Nobody can guess a signature, so tries are not counted as those of codes are, and a lock of
    codes does not keep the person out.

    Args:
        kept: of `ask_to_show`, asked once; None where nothing was asked.
    """
    rows = list(Passkey.objects.select_for_update(of=("self",)).filter(factor__user=user))
    try:
        read = _read(answer)
        known = [webauthn.AttestedCredentialData(bytes(row.public_key)) for row in rows]
        used = _server(origin).authenticate_complete(kept or {}, known, read)
        signed = webauthn.AuthenticationResponse.from_dict(read).response.authenticator_data.counter
    except _NO_ANSWER:
        return _wrong(user, "passkey")
    (row,) = [
        each for each in rows if each.credential == webauthn.websafe_encode(used.credential_id)
    ]
    # Of two devices with the same key one counts on and the other lags behind: it was copied.
    if (signed or row.signed) and signed <= row.signed:
        return _wrong(user, f"passkey “{row.name}”: an older state of it")
    row.signed, row.used_at = signed, at
    row.save()
    return Tried.PASSKEY


@transaction.atomic
def remove_passkey(user: User, passkey: Passkey) -> None:
    """Remove one's own passkey; where nothing else is left, the second factor with it.

    Raises:
        UnableToChangeFactor: it is the last, and a role asks for a second factor.
    """
    factor = SecondFactor.objects.select_for_update().get(passkeys=passkey, user=user)
    if not factor.sealed_key and factor.passkeys.count() == 1:
        remove_factor(user)
    else:
        passkey.delete()
    note(Event.PASSKEY_REMOVED, by=user, about=user, detail=passkey.name)
    tell(user, Changed.PASSKEY_REMOVED)


def passkeys_of(user: User) -> list[Passkey]:
    """Return the person's passkeys, the oldest first."""
    return list(Passkey.objects.filter(factor__user=user).order_by("made_at", "pk"))


def _wrong(user: User, why: str) -> Tried:
    note(Event.SIGN_IN_FAILED, about=user.username, detail=why)
    return Tried.WRONG


def _server(origin: str) -> Any:
    """Return the package's part, for the very address that the page has and no other."""
    host = urlsplit(origin).hostname or ""
    entity = webauthn.PublicKeyCredentialRpEntity(name="Rejoin", id=host)
    return fido2_server.Fido2Server(entity, verify_origin=lambda there: there == origin)


def _descriptors(user: User) -> list[Any]:
    return [
        webauthn.PublicKeyCredentialDescriptor(
            type="public-key", id=webauthn.websafe_decode(row.credential)
        )
        for row in passkeys_of(user)
    ]


def _plain(options: Any) -> dict[str, Any]:
    plain: dict[str, Any] = json.loads(json.dumps(dict(options)))
    return plain


def _read(answer: str) -> dict[str, Any]:
    read = json.loads(answer[:LONGEST_ANSWER])
    if not isinstance(read, dict):
        raise TypeError("Expected an object")
    return read
