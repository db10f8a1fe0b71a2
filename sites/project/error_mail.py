"""A mail to whoever runs the service, when a page, a round or long work broke.

It says where in the program, and by which id the log has the rest. It holds nothing that anybody
typed: no form, query, cookie or header, no secret of an address, and not the error's own words,
which often quote such values. Django's own AdminEmailHandler puts all of them into its mail.

Of one kind (an error of one type, from one line of ours; all trouble of the database is one kind) a
machine sends one mail in a quarter of an hour, by all its processes together: times are kept in a
file below REJOIN_STATE that is locked while it is read and written. Database and Redis may be
just what is broken. Where the file fails too, each process remembers by itself.
"""

import fcntl
import json
import logging
import time
import traceback
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import InterfaceError, OperationalError
from django.http import HttpRequest
from django.urls import Resolver404, resolve

from sites.kernel.services.request_ids import request_id
from sites.project.environment import CHECKOUT
from sites.project.logs import ERROR_MAIL

logger = logging.getLogger(__name__)

EVERY_S = 15 * 60
FILE = "error-mails.json"
# Parts of addresses that let in whoever has them.
SECRET_PARTS = {"secret", "token", "uidb64"}
_OURS = {"sites", "faults", "reports"}


class ErrorMail(logging.Handler):
    """Mails errors that come with a traceback; trouble with that breaks nothing.

    Args:
        to: addresses.
        folder: where times are kept.
    """

    def __init__(self, *, to: list[str], folder: Path) -> None:
        super().__init__(logging.ERROR)
        self._to, self._told = to, ToldLately(folder / FILE)

    def handle(self, record: logging.LogRecord) -> bool:
        """Mail it without the handler's lock: a slow mail server would hold up other threads."""
        if is_to_be_told(record):
            self.emit(record)
        return True

    def emit(self, record: logging.LogRecord) -> None:
        """Mail it, unless one of its kind was mailed lately."""
        try:
            error = _error_of(record)
            if self._told.claim(_kind(error), now=time.time()):
                EmailMessage(_subject(error), _text(record, error), to=self._to).send()
        except Exception as trouble:
            # A page or a round is broken already, and this must not add to it.
            logger.warning("An error could not be mailed: %s", type(trouble).__name__)


class ToldLately:
    """Which kinds of errors were told within a quarter of an hour, by any process here."""

    def __init__(self, file: Path) -> None:
        self._file = file
        self._here: dict[str, float] = {}

    def claim(self, kind: str, *, now: float) -> bool:
        """Return whether the caller is the one to tell of it; true for one caller only."""
        if _is_lately(self._here.get(kind), now):
            return False
        self._here[kind] = now
        try:
            return self._claim_for_all(kind, now)
        except OSError:
            return True

    def _claim_for_all(self, kind: str, now: float) -> bool:
        with self._file.open("a+", encoding="utf-8") as file:
            fcntl.flock(file, fcntl.LOCK_EX)
            file.seek(0)
            told = {key: at for key, at in _read(file.read()).items() if _is_lately(at, now)}
            if kind in told:
                return False
            file.truncate(0)
            file.write(json.dumps({**told, kind: now}))
        return True


def _read(text: str) -> dict[str, float]:
    """What a full disk cut off counts as nothing."""
    try:
        told = json.loads(text or "{}")
    except ValueError:
        return {}
    return told if isinstance(told, dict) else {}


def _is_lately(at: float | None, now: float) -> bool:
    # A time ahead of the clock was written by one that ran ahead: it says nothing.
    return at is not None and 0 <= now - at < EVERY_S


def is_to_be_told(record: logging.LogRecord) -> bool:
    """Return whether it is an error of ours: not what strangers can set off by an odd request."""
    has_error = bool(record.exc_info and record.exc_info[1])
    is_error = record.levelno >= logging.ERROR
    return is_error and has_error and not record.name.startswith("django.security")


def handler_of(logging_settings: Mapping[str, Any]) -> ErrorMail | None:
    """Return the handler that the setting LOGGING names, for a process with a log of its own."""
    how = logging_settings["handlers"].get(ERROR_MAIL)
    return ErrorMail(to=how["to"], folder=how["folder"]) if how else None


def _error_of(record: logging.LogRecord) -> BaseException:
    assert record.exc_info
    assert record.exc_info[1]
    return record.exc_info[1]


def _kind(error: BaseException) -> str:
    name = type(error).__qualname__
    return name if isinstance(error, OperationalError | InterfaceError) else f"{name} {_at(error)}"


def _at(error: BaseException) -> str:
    """Return the last line of our own that led to it: many ways end in the same library."""
    frames = traceback.extract_tb(error.__traceback__)
    ours = [each for each in frames if Path(each.filename).is_relative_to(CHECKOUT)]
    ours = [each for each in ours if "site-packages" not in each.filename]
    if not frames:
        return "nowhere"
    last = (ours or frames)[-1]
    return f"{last.filename.removeprefix(f'{CHECKOUT}/')}:{last.lineno}"


def _subject(error: BaseException) -> str:
    return f"Rejoin: {type(error).__qualname__} in {_at(error)}"


def _text(record: logging.LogRecord, error: BaseException) -> str:
    request = getattr(record, "request", None)
    lines = [
        f"service:  {settings.SITE_URL}",
        f"id:       {getattr(record, 'request_id', None) or request_id()}",
        *(_of_page(request) if isinstance(request, HttpRequest) else _of_work(record)),
        "",
        *_traces(error),
        "The words of the error are left out, because they may quote what somebody typed: they "
        "stand in the log under this id.",
        f"More of the same kind within {EVERY_S // 60} minutes are in the log alone.",
        "",
    ]
    return "\n".join(lines)


def _of_page(request: HttpRequest) -> list[str]:
    return [f"page:     {request.method} {_path(request)}", f"user:     {_user(request)}"]


def _of_work(record: logging.LogRecord) -> list[str]:
    """Messages of other libraries may quote what the work was given."""
    is_ours = record.name.partition(".")[0] in _OURS
    return [f"work:     {record.getMessage() if is_ours else record.name}"]


def _path(request: HttpRequest) -> str:
    """Return the address without its query, and without what would let its reader in."""
    try:
        found = request.resolver_match or resolve(request.path_info)
    except Resolver404:
        return "(an address that leads nowhere)"
    path = request.path
    for name, value in found.kwargs.items():
        if name in SECRET_PARTS:
            path = path.replace(str(value), f"<{name}>")
    return path


def _user(request: HttpRequest) -> str:
    """Return the user's key, without asking a database that may be what broke."""
    known = getattr(request, "_cached_user", None) or request.__dict__.get("user")
    if known is None or "_wrapped" in vars(known):
        return "not known"
    return "not signed in" if known.pk is None else str(known.pk)


def _traces(error: BaseException) -> Iterator[str]:
    """Yield the way to the error and to what caused it, in words of the program alone."""
    cause = error.__cause__ or (None if error.__suppress_context__ else error.__context__)
    if cause is not None:
        yield from _traces(cause)
        yield "After that:\n"
    yield "".join(traceback.format_tb(error.__traceback__)) + type(error).__qualname__
    yield ""
