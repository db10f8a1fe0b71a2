"""The id of the request at hand, by which its lines of all logs are found.

A worker's task has one too: its own id. Nothing here touches models: it is read while logging is
set up, before there are any.
"""

import re
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

NONE = "-"
_USABLE = re.compile(r"[A-Za-z0-9-]{8,64}")

_at_hand: ContextVar[str] = ContextVar("request_id_at_hand", default=NONE)


def request_id() -> str:
    """Return the id of the request or task at hand, "-" where there is none."""
    return _at_hand.get()


def new_request_id(given: str = "") -> str:
    """Return the id that a proxy gave, where it is one; else a new one."""
    return given if _USABLE.fullmatch(given) else secrets.token_hex(16)


@contextmanager
def known_as(name: str) -> Iterator[None]:
    """Let all lines of the log that are written inside carry this id."""
    token = _at_hand.set(name)
    try:
        yield
    finally:
        _at_hand.reset(token)


def set_request_id(name: str) -> None:
    """Let the lines that follow in this process carry this id: for what has no inside."""
    _at_hand.set(name)
