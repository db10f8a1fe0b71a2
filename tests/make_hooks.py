"""Set up programs that are told, play such a program, and read what was written down for it."""

import json
import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from threading import Thread
from typing import Any
from uuid import UUID

from reports.hooks.services.sending import PURPOSE
from reports.hooks.services.shapes import Tested, body_of
from reports.models import Delivery, Happened, Receiver
from sites.models import User
from sites.people.services.sealing import seal
from tests import make, make_tokens
from tests.cast import Corner

SECRET = "a-secret-of-tests"
ALL = " ".join(kind.value for kind in Happened if kind is not Happened.TEST)


def receiver(user: User, **given: Any) -> Receiver:
    """A program that is told of everything."""
    fields = {
        "name": "display",
        "address": "https://display.example/told",
        "kinds": ALL,
        "made_at": make.NOW,
        "sealed_secret": seal(SECRET, purpose=PURPOSE),
        **given,
    }
    return Receiver.objects.create(user=user, **fields)


def delivery(of: Receiver, **given: Any) -> Delivery:
    """A message that says that it is a test, to be sent now."""
    row = Delivery(receiver=of, kind=Happened.TEST, made_at=make.NOW, next_try_at=make.NOW)
    row.body = body_of(row.key, "test", make.NOW, Tested(says="hello"))
    for name, value in given.items():
        setattr(row, name, value)
    row.save()
    return row


def told(of: Receiver | None = None) -> list[dict[str, Any]]:
    """Return all bodies that were written down, oldest first."""
    rows = Delivery.objects.order_by("pk") if of is None else of.deliveries.order_by("pk")
    return [json.loads(row.body) for row in rows]


def samples(corner: Corner, starter: User) -> dict[tuple[str, str], str]:
    """Return a value for each variable part of the addresses about other programs."""
    row = receiver(starter, name=f"{corner.property.code} display", property=corner.property)
    return {
        ("tokens", "pk"): make_tokens.key_of(starter),
        ("receivers", "ref"): row.ref,
        ("again", "pk"): str(delivery(row).pk),
    }


Play = Callable[[socket.socket], None]


def answering(text: str) -> Play:
    """Return a program that reads a request and answers with this text."""

    def play(line: socket.socket) -> None:
        read_request(line)
        line.sendall(text.encode())

    return play


def answer(status: str, *more: str, body: str = "") -> str:
    """Return an HTTP answer as text."""
    return "\r\n".join([f"HTTP/1.1 {status}", f"Content-Length: {len(body)}", *more, "", body])


def read_request(line: socket.socket) -> tuple[str, dict[str, str], bytes]:
    """Return the first line, the headers and the body of a request."""
    with line.makefile("rb") as source:
        first = source.readline().decode().strip()
        headers = {}
        while text := source.readline().decode().strip():
            name, _colon, value = text.partition(": ")
            headers[name] = value
        return first, headers, source.read(int(headers.get("Content-Length", 0)))


@contextmanager
def listening(*plays: Play) -> Iterator[int]:
    """Listen on a port of this machine, and play one connection after the other."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(5)

        def serve() -> None:
            for play in plays:
                try:
                    line, _address = server.accept()
                except OSError:
                    return
                with line:
                    try:
                        play(line)
                    except OSError:
                        continue

        thread = Thread(target=serve, daemon=True)
        thread.start()
        yield server.getsockname()[1]
    thread.join(10)


def moment(text: str) -> datetime:
    """Return the moment that a message names."""
    return datetime.fromisoformat(text)


def key_of(message: dict[str, Any]) -> UUID:
    """Return the id of a message."""
    return UUID(message["id"])
