"""Sends drawn requests as each person, keeps what was answered, and finds what may never be.

A request may be refused in many ways. It may not trip us (an exception, a status of 500 and
above), and what is refused may write nothing.
"""

import hashlib
import random
import traceback
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from http.cookies import SimpleCookie
from pathlib import Path
from typing import Any

from django.apps import apps
from django.conf import settings
from django.db import connection, transaction
from django.test import Client

from sites.kernel.views.limits import reset_limits
from sites.models import User
from tests.architecture.source import CHECKOUT
from tests.web.addresses import Address
from tests.web.drawn import Drawn, Known, draw_request
from tests.web.pages import HTMX

# What notes that somebody was here, or tried to sign in: it is written whatever is answered.
NOTED = ("axes_", "django_session", "sites_signedin", "sites_event")
WRITES = ("INSERT", "UPDATE", "DELETE", "REPLACE")
# A sign-in is asked for its password anew after some minutes, and a long run takes longer.
SIGNED_IN_FOR = 500
SECRET = "a" * 32


@dataclass
class Totals:
    """What came of the requests: how many were answered how, and what was wrong, once each."""

    answers: Counter[str] = field(default_factory=Counter)
    accepted: Counter[str] = field(default_factory=Counter)
    wrong: dict[str, str] = field(default_factory=dict)
    times: Counter[str] = field(default_factory=Counter)

    def note_wrong(self, what: str, told: str) -> None:
        """Keep the first of its kind in full, and count the others."""
        self.wrong.setdefault(what, told)
        self.times[what] += 1

    def lines(self) -> list[str]:
        """Return the totals and each thing that was wrong, to be printed."""
        counts = [f"{count:7d}  {name}" for name, count in sorted(self.answers.items())]
        wrong = [f"WRONG {self.times[what]} times: {told}" for what, told in self.wrong.items()]
        return [*counts, f"{len(self.accepted):7d}  addresses took a form that was sent", *wrong]


class Asker:
    """Draws requests from a seed and sends them as each person."""

    def __init__(
        self, addresses: list[Address], samples: Mapping[tuple[str, str], str], today: date
    ) -> None:
        self.paths = {each.name: each.url(samples) for each in addresses}
        self.addresses, self.today = addresses, today
        self.known, self.totals = Known(), Totals()
        self._kept: dict[str, str] = {}

    def read_the_pages(self, people: Mapping[str, User]) -> None:
        """Open each address as each person and learn its forms."""
        for user in people.values():
            browser = _browser(user)
            for path in self.paths.values():
                with _taken_back():
                    answer: Any = browser.get(path)
                    if answer.status_code == 200 and "text/html" in answer.headers["Content-Type"]:
                        self.known.read(path, answer.content.decode())

    def ask(self, count: int, seed: int, people: Mapping[str, User]) -> Totals:
        """Send that many requests; nobody at all is one of the persons."""
        draw = random.Random(seed)
        names = [*people, "owner", "owner", "owner", "nobody"]
        browsers: dict[str, tuple[Client, str]] = {}
        self._kept = _tables()
        for number in range(count):
            if number % SIGNED_IN_FOR == 0:
                browsers = {name: _with_cookies(people.get(name)) for name in names}
                self._kept = _tables()
            person = draw.choice(names)
            address = self.addresses[number % len(self.addresses)]
            drawn = draw_request(draw, address, self.paths[address.name], self.known, self.today)
            browser, cookies = browsers[person]
            browser.cookies = SimpleCookie(cookies)
            reset_limits()
            self.send(browser, drawn, f"{number} of seed {seed}, {person}, {address.name}")
        return self.totals

    def send(self, browser: Client, drawn: Drawn, where: str) -> None:
        """Send one request, note what came of it, and take it back.

        Args:
            where: who asked for what, of which seed; its last word is the name of the address.
        """
        written = Written()
        with _taken_back():
            try:
                with connection.execute_wrapper(written):
                    status = _status(browser, drawn)
            except Exception as error:
                self.totals.answers[f"{drawn.method} exception"] += 1
                self.totals.note_wrong(_named(error), f"{where}: {error!r}\n{drawn}\n{_way(error)}")
                return
            self.totals.answers[f"{drawn.method} {status}"] += 1
            if drawn.method == "POST" and status in {200, 302}:
                self.totals.accepted[where.rpartition(" ")[2]] += 1
            if status >= 500:
                self.totals.note_wrong(f"{status} {drawn.url}", f"{where}: {status}\n{drawn}")
            elif status >= 400 and written.anything and (tables := self._differing()):
                what = f"{where.rpartition(' ')[2]} refused, but wrote {tables}"
                self.totals.note_wrong(what, f"{where}: {status}, wrote {tables}\n{drawn}")

    def _differing(self) -> list[str]:
        now = _tables()
        return [name for name, kept in self._kept.items() if now[name] != kept]


class Written:
    """Whether any statement that writes went to the database."""

    def __init__(self) -> None:
        self.anything = False

    def __call__(
        self, execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any
    ) -> Any:
        """Look at a statement, then let it go on."""
        if sql.lstrip().upper().startswith(WRITES):
            self.anything = True
        return execute(sql, params, many, context)


def _status(browser: Client, drawn: Drawn) -> int:
    headers = {**(HTMX if drawn.is_fragment else {}), "X-CSRFToken": SECRET}
    if drawn.method == "POST":
        given = {"data": drawn.body, "content_type": drawn.content_type}
        answer: Any = browser.generic("POST", drawn.url, headers=headers, **given)
    else:
        answer = browser.get(drawn.url, headers=headers)
    if answer.streaming:
        b"".join(answer.streaming_content)
    return int(answer.status_code)


def _browser(user: User | None) -> Client:
    # With the check on, as in service: it reads a body before any page does.
    browser = Client(enforce_csrf_checks=True)
    browser.cookies[settings.CSRF_COOKIE_NAME] = SECRET
    if user is not None:
        browser.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return browser


def _with_cookies(user: User | None) -> tuple[Client, str]:
    browser = _browser(user)
    return browser, browser.cookies.output(attrs=[], header="", sep=";")


@contextmanager
def _taken_back() -> Iterator[None]:
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def _tables() -> dict[str, str]:
    """Return a hash of the rows of each table that what is refused may not change."""
    models = [each for each in apps.get_models(include_auto_created=True) if each._meta.managed]
    names = {each._meta.db_table for each in models if not each._meta.proxy}
    found = {}
    with connection.cursor() as cursor:
        for name in sorted(each for each in names if not each.startswith(NOTED)):
            cursor.execute(f"SELECT * FROM {connection.ops.quote_name(name)}")
            rows = sorted(map(repr, cursor.fetchall()))
            found[name] = hashlib.sha256("\n".join(rows).encode("utf-8", "replace")).hexdigest()
    return found


def _named(error: Exception) -> str:
    """Return what tells this mistake from others: its kind, and where in our own code it was."""
    frames = traceback.extract_tb(error.__traceback__)
    ours = [each for each in frames if _is_ours(each.filename)]
    last = ours[-1] if ours else frames[-1]
    return f"{type(error).__name__} at {Path(last.filename).name}:{last.lineno}"


def _way(error: Exception) -> str:
    frames = traceback.extract_tb(error.__traceback__)
    ours = [each for each in frames if _is_ours(each.filename)]
    return "".join(traceback.format_list([*ours[-6:], *frames[-2:]]))


def _is_ours(filename: str) -> bool:
    is_within = filename.startswith(str(CHECKOUT)) and ".venv" not in filename
    return is_within and f"{CHECKOUT}/tests" not in filename
