"""The log of what matters: who got in, who may what, what left the house.

Any room notes what it did by `note`; who asked, from where and with which device is known from
the request at hand. The database refuses to change or delete a line
(`sites/models/unchangeable.py`).
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from django.http import HttpRequest

from sites.models import AuditLine, Event, User

DEVICE_LENGTH = 200

_request: ContextVar[HttpRequest | None] = ContextVar("request_at_hand", default=None)


@contextmanager
def at_hand(request: HttpRequest) -> Iterator[None]:
    """Let lines of the log know this request as long as it is answered."""
    token = _request.set(request)
    try:
        yield
    finally:
        _request.reset(token)


def note(event: Event, *, by: User | None = None, about: object = "", detail: object = "") -> None:
    """Write one line.

    Args:
        by: who did it; else who is signed in; nobody where a command or a stranger did.
        about: whom or what, by a name that people know.
    """
    request = _request.get()
    user = by or (None if request is None else _signed_in(request))
    AuditLine.objects.create(
        event=event,
        by=user,
        by_name="" if user is None else str(user)[:150],
        about=_line(about)[:200],
        detail=_line(detail)[:300],
        address="" if request is None else address_of(request),
        device="" if request is None else device_of(request),
    )


def address_of(request: HttpRequest) -> str:
    """Return the address that the request came from, as our outermost proxy saw it."""
    return str(request.META.get("REMOTE_ADDR", ""))[:45]


def device_of(request: HttpRequest) -> str:
    """Return what the browser says of itself."""
    return _line(request.META.get("HTTP_USER_AGENT", ""))[:DEVICE_LENGTH]


def _line(text: object) -> str:
    """One line without NUL: no text holds one, and PostgreSQL refuses it."""
    return " ".join(str(text).replace("\x00", "").split())


def _signed_in(request: HttpRequest) -> User | None:
    user = getattr(request, "user", None)
    return user if isinstance(user, User) else _named(user)


def _named(user: object) -> User | None:
    """A lazy stand-in of Django's is unwrapped by what it stands for."""
    found = getattr(user, "_wrapped", None)
    return found if isinstance(found, User) else None
