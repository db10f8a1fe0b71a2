"""A file that only who has the key can read: written and read as a stream, in frames.

AES-256-GCM (NIST SP 800-38D) in the way of STREAM (Hoang, Reyhanitabar, Rogaway, Vizár, 2015): the
nonce of a frame is its number and whether it is the last one, so that frames which were changed,
left out, put in another order or added are noticed, and so is a file that breaks off between two.
The key of a file is drawn by HKDF-SHA-256 (RFC 5869) from ours and 32 random bytes in the head;
the head is authenticated with each frame. It carries 16 further bytes of the same draw, by which a
wrong key is told from damage, and which say nothing of the key.
"""

import os
import secrets
from typing import Protocol

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF

MAGIC = b"REJOIN SEALED 1\n"
KEY_BYTES = 32
FRAME = 1024 * 1024
_SALT_BYTES = 32
_MARK_BYTES = 16
_TAG_BYTES = 16
HEAD_BYTES = len(MAGIC) + _SALT_BYTES + _MARK_BYTES


class Writable(Protocol):
    """What takes bytes."""

    def write(self, block: bytes, /) -> object:
        """Take all of them."""


class Readable(Protocol):
    """What gives bytes; none at its end."""

    def read(self, size: int, /) -> bytes:
        """Return as many, or fewer at the end."""


class NotAKey(Exception):
    """A text is no key."""


class WrongKey(Exception):
    """It was sealed with another key, or no key was given; the text says which."""


class BrokenSeal(Exception):
    """It is not as it was sealed."""


def new_key() -> str:
    """Return a new key as text: 64 hexadecimal digits."""
    return secrets.token_hex(KEY_BYTES)


def key_from(text: str) -> bytes:
    """Return the key that a text holds; blanks and line ends around it do not matter.

    Raises:
        NotAKey: it is not 64 hexadecimal digits.
    """
    try:
        key = bytes.fromhex(text.strip())
    except ValueError as error:
        raise NotAKey from error
    if len(key) != KEY_BYTES:
        raise NotAKey
    return key


def _drawn(key: bytes, salt: bytes) -> tuple[AESGCM, bytes]:
    """Return the cipher of one file, and the mark of the key."""
    drawn = HKDF(SHA256(), KEY_BYTES + _MARK_BYTES, salt, MAGIC).derive(key)
    return AESGCM(drawn[:KEY_BYTES]), drawn[KEY_BYTES:]


def _nonce(number: int, *, is_last: bool) -> bytes:
    return number.to_bytes(11, "big") + bytes([is_last])


class Sealing:
    """Seals what is written; `finish` writes the last frame, without which nothing is whole."""

    def __init__(self, out: Writable, key: bytes) -> None:
        salt = os.urandom(_SALT_BYTES)
        self._cipher, mark = _drawn(key, salt)
        self._head = MAGIC + salt + mark
        self._out, self._kept, self._number = out, bytearray(), 0
        out.write(self._head)

    def write(self, block: bytes, /) -> int:
        """Take bytes; whole frames are written on, and the last one never is before `finish`."""
        self._kept += block
        while len(self._kept) > FRAME:
            self._seal(bytes(self._kept[:FRAME]), is_last=False)
            del self._kept[:FRAME]
        return len(block)

    def finish(self) -> None:
        """Write what is left as the last frame."""
        self._seal(bytes(self._kept), is_last=True)
        self._kept.clear()

    def _seal(self, frame: bytes, *, is_last: bool) -> None:
        nonce = _nonce(self._number, is_last=is_last)
        self._out.write(self._cipher.encrypt(nonce, frame, self._head))
        self._number += 1


class Opening:
    """Reads what was sealed, each frame only once it is proven."""

    def __init__(self, file: Readable, key: bytes | None) -> None:
        """Read the head, whose magic word was read already.

        Raises:
            WrongKey: it is another key's, or none was given.
            BrokenSeal: it breaks off.
        """
        rest = file.read(_SALT_BYTES + _MARK_BYTES)
        if len(rest) != _SALT_BYTES + _MARK_BYTES:
            raise BrokenSeal("it breaks off")
        if key is None:
            raise WrongKey("it is sealed, and no key was given")
        self._cipher, mark = _drawn(key, rest[:_SALT_BYTES])
        if not secrets.compare_digest(mark, rest[_SALT_BYTES:]):
            raise WrongKey("it is sealed with another key")
        self._head = MAGIC + rest
        self._file, self._number = file, 0
        self._next = file.read(FRAME + _TAG_BYTES)
        self._open, self._is_over = b"", False

    def read(self, size: int, /) -> bytes:
        """Return as many bytes as asked for, fewer only at the end.

        Raises:
            BrokenSeal: the next frame is not as it was sealed.
        """
        found = []
        while size > 0 and (self._open or self._fill()):
            block, self._open = self._open[:size], self._open[size:]
            size -= len(block)
            found.append(block)
        return b"".join(found)

    def _fill(self) -> bool:
        """Open the next frame; whether there was one."""
        if self._is_over:
            return False
        sealed, self._next = self._next, self._file.read(FRAME + _TAG_BYTES)
        self._is_over = not self._next
        nonce = _nonce(self._number, is_last=self._is_over)
        try:
            self._open = self._cipher.decrypt(nonce, sealed, self._head)
        except (InvalidTag, ValueError) as error:
            raise BrokenSeal(f"part {self._number + 1} is not as it was sealed") from error
        self._number += 1
        return bool(self._open)
