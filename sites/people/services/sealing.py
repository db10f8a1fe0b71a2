"""Secrets that must be read again, kept so that the database alone does not give them away.

Sealed by a key made from SECRET_KEY; SECRET_KEY_FALLBACKS still open what older keys sealed.
Source of the seal: Fernet, by the package `cryptography`.
"""

import base64
from hashlib import sha256
from hmac import digest
from typing import Any

from django.conf import settings

from sites.kernel.lazily import lazily

fernet = lazily("cryptography.fernet")

PURPOSE = b"rejoin second factor"


class UnableToOpen(Exception):
    """Sealed by a key that is not known any more."""


def seal(secret: str, *, purpose: bytes = PURPOSE) -> str:
    """Return the secret, sealed; what was sealed for one purpose opens for no other."""
    sealed: bytes = _keys(purpose).encrypt(secret.encode())
    return sealed.decode()


def unseal(sealed: str, *, purpose: bytes = PURPOSE) -> str:
    """Return what was sealed.

    Raises:
        UnableToOpen: SECRET_KEY was changed, and SECRET_KEY_FALLBACKS does not name the old one.
    """
    try:
        opened: bytes = _keys(purpose).decrypt(sealed.encode())
    except fernet.InvalidToken as error:
        raise UnableToOpen from error
    return opened.decode()


def _keys(purpose: bytes) -> Any:
    secrets = [str(each) for each in (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS)]
    return fernet.MultiFernet([fernet.Fernet(_key(secret, purpose)) for secret in secrets])


def _key(secret: str, purpose: bytes) -> bytes:
    return base64.urlsafe_b64encode(digest(secret.encode(), purpose, sha256))
