"""One request to a program's address: never elsewhere, never for long, and little is read.

The name is looked up here and the connection goes to the very address that was checked, so that a
name server that answers otherwise a second later leads nowhere. No redirect is followed and no
proxy of the surroundings is asked. `http.client` of the standard library, because the socket has
to be ours.
"""

import io
import socket
import ssl
import time
from collections.abc import Mapping
from dataclasses import dataclass
from http.client import HTTPConnection, HTTPException
from typing import Any

from django.conf import settings

from reports.hooks.engines.reaching import Target, may_reach, read_address
from reports.models import Outcome

CONNECT_S, ALL_S = 5.0, 10.0
MOST_BYTES = 1024
LONGEST_DETAIL = 200


@dataclass(frozen=True)
class Answer:
    """What came of it: the status where there was one, and a few words of the other side's."""

    outcome: Outcome
    status: int | None = None
    detail: str = ""


class Refused(Exception):
    """The address is not sent to."""

    def __init__(self, outcome: Outcome, detail: str = "") -> None:
        super().__init__(outcome)
        self.outcome, self.detail = outcome, detail


def look_up(host: str, port: int) -> list[str]:
    """Return the addresses of a name.

    Raises:
        OSError: it has none.
        UnicodeError: it cannot be a name.
    """
    found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    return list(dict.fromkeys(str(each[4][0]) for each in found))


def checked(address: str) -> tuple[Target, list[str]]:
    """Return the target of an address, and where it lies now.

    Raises:
        Refused: it may not be sent to.
    """
    target = read_address(address)
    if target is None or not (target.is_tls or settings.HOOKS_WITHOUT_TLS):
        raise Refused(Outcome.NO_TLS)
    try:
        found = look_up(target.host, target.port)
    except (OSError, UnicodeError):
        found = []
    if not found:
        raise Refused(Outcome.UNKNOWN_NAME)
    for each in found:
        if not may_reach(each, settings.HOOK_NETWORKS):
            raise Refused(Outcome.NOT_PUBLIC, each)
    return target, found


def send(address: str, body: bytes, headers: Mapping[str, str]) -> Answer:
    """Post a body once and return what came of it; never raises for what the other side does."""
    try:
        target, found = checked(address)
    except Refused as why:
        return Answer(why.outcome, detail=why.detail)
    until = time.monotonic() + ALL_S
    try:
        with _connected(target, found, until) as plain, _secured(plain, target, until) as line:
            return _asked(line, target, body, headers, until)
    except ssl.SSLCertVerificationError as why:
        return Answer(Outcome.CERTIFICATE, detail=_short(why.verify_message))
    except TimeoutError:
        return Answer(Outcome.TIMEOUT)
    except HTTPException as why:
        return Answer(Outcome.NO_HTTP, detail=_short(type(why).__name__))
    except (OSError, ValueError) as why:  # of a host that TLS takes for no name, too
        words = getattr(why, "strerror", None) or str(why)
        return Answer(Outcome.NO_CONNECTION, detail=_short(words))


def _left(until: float) -> float:
    """Return the seconds that are left.

    Raises:
        TimeoutError: none.
    """
    left = until - time.monotonic()
    if left <= 0:
        raise TimeoutError
    return left


def _connected(target: Target, found: list[str], until: float) -> socket.socket:
    """Connect to the first of the checked addresses that answers."""
    end = min(until, time.monotonic() + CONNECT_S)
    error: OSError = TimeoutError()
    for each in found:
        try:
            return socket.create_connection((each, target.port), timeout=_left(end))
        except OSError as why:
            error = why
    raise error


def _secured(line: socket.socket, target: Target, until: float) -> socket.socket:
    if not target.is_tls:
        return line
    line.settimeout(_left(until))
    return tls().wrap_socket(line, server_hostname=target.host)


def tls() -> ssl.SSLContext:
    """Return how certificates are checked: as the system does."""
    return ssl.create_default_context()


class _InTime(io.RawIOBase):
    """A socket that one deadline ends, however slowly it drips; what `http.client` asks of one."""

    def __init__(self, line: socket.socket, until: float) -> None:
        super().__init__()
        self.line, self.until = line, until

    def readable(self) -> bool:
        """It can be read."""
        return True

    def readinto(self, buffer: Any) -> int:
        """Read what is there."""
        self.line.settimeout(_left(self.until))
        return self.line.recv_into(buffer)

    def sendall(self, data: bytes) -> None:
        """Send all of it."""
        self.line.settimeout(_left(self.until))
        self.line.sendall(data)

    def makefile(self, _mode: str) -> io.BufferedReader:
        """Return itself to read from."""
        return io.BufferedReader(self)


def _asked(
    line: socket.socket, target: Target, body: bytes, headers: Mapping[str, str], until: float
) -> Answer:
    asked = HTTPConnection(target.host, target.port)
    asked.sock = _InTime(line, until)
    own = {"Host": target.named, "Connection": "close", "User-Agent": "Rejoin"}
    asked.request("POST", target.path, body=body, headers={**own, **headers})
    answer = asked.getresponse()
    status = answer.status
    if 200 <= status < 300:
        return Answer(Outcome.ACCEPTED, status)
    if 300 <= status < 400:
        return Answer(Outcome.REDIRECT, status, _short(answer.getheader("Location", "")))
    try:
        said = answer.read(MOST_BYTES).decode("utf-8", "replace")
    except (OSError, HTTPException):
        said = ""
    return Answer(Outcome.GONE if status == 410 else Outcome.STATUS, status, _short(said))


def _short(text: str) -> str:
    """One line of it, without what a database or a page would stumble on."""
    plain = "".join(sign if sign.isprintable() else " " for sign in text)
    return " ".join(plain.split())[:LONGEST_DETAIL]
