"""A person at a screen: opens pages, reads, follows a link of the page, writes now and then."""

import random
import re
import threading
import time
from collections.abc import Mapping, Sequence
from html import unescape
from urllib.parse import urlencode

from tests.bench.kills.asking import ask
from tests.bench.kills.ledger import Ledger
from tests.bench.kills.writing import COOKIE_KEY, yesterday
from tests.bench.people.figures import Figures, route_of

PATIENCE_S = 30.0
# Between two pages people read. Common practice, no source.
THINKS_S = (3.0, 13.0)
SHARE_HOME, SHARE_WRITES = 0.15, 0.08
WRITES = {"owner", "water manager", "dispatcher", "technician"}
START, MOST_LED_ON = "/start/", 5
_LINK = re.compile(r'<a\b[^>]*\bhref="(/[^"#]*)"')
_ONCE = re.compile(r'name="once" value="([0-9a-f-]{36})"')
# What is no page, or leaves the walk: files, pictures, the door.
_NO_PAGE = re.compile(
    r"export|\.(csv|xlsx|pdf|zip|geojson|ics|jpg|png)\b|/pdf/|sign-out|/static/|/media/|/admin/"
    r"|photos?/|/picture|/file/|/api/|calendar"
)
BROKEN = 500


class Walker:
    """One person, until told to stop."""

    def __init__(
        self, url: str, person: Mapping[str, str], stations: Sequence[str], seed: int
    ) -> None:
        self._url, self._person, self._stations = url, person, stations
        self._draw = random.Random(seed)
        cookies = f"__Host-sessionid={person['session']}; __Host-csrftoken={COOKIE_KEY}"
        self._headers = {"Cookie": cookies, "X-CSRFToken": COOKIE_KEY, "Accept": "text/html"}

    def walk(self, is_over: threading.Event, figures: Figures, ledger: Ledger) -> None:
        """Open pages until it is over."""
        # Not all of them at the same second.
        is_over.wait(self._draw.uniform(0, THINKS_S[1]))
        links: list[str] = []
        while not is_over.is_set():
            if self._person["role"] in WRITES and self._draw.random() < SHARE_WRITES:
                self._write(figures, ledger)
            elif not links or self._draw.random() < SHARE_HOME:
                links = self._open(START, figures)
            else:
                links = self._open(self._draw.choice(links), figures) or links
            is_over.wait(self._draw.uniform(*THINKS_S))

    def _open(self, path: str, figures: Figures) -> list[str]:
        """Open a page and all that it leads on to; return the links of the last."""
        body = b""
        for _ in range(MOST_LED_ON):
            status, body, led_to = self._ask(path, None, figures)
            if status != 302:
                break
            path = led_to.removeprefix(f"{self._url}")
            if "sign-in" in path:
                figures.went_wrong("signed out")
                return []
        found = {unescape(each) for each in _LINK.findall(body.decode(errors="replace"))}
        return sorted(each for each in found if not _NO_PAGE.search(each))

    def _write(self, figures: Figures, ledger: Ledger) -> None:
        """Measure a station: the form is opened, filled in and sent once."""
        path = f"/stations/{self._draw.choice(self._stations)}/readings/add/"
        status, body, _led = self._ask(path, None, figures)
        found = _ONCE.search(body.decode(errors="replace"))
        if status != 200 or not found:
            return
        row = ledger.begin("reading on a page")
        fields = {"kind": "ohms", "value": str(self._draw.randint(15, 80)), "taken_by": row.mark}
        fields |= {"taken_on": yesterday(), "once": found[1]}
        status, _body, _led = self._ask(path, fields, figures)
        made = "taken" if status == 302 else ""
        ledger.heard(row, status, made=made, refused="" if made else f"{status}")

    def _ask(
        self, path: str, fields: Mapping[str, str] | None, figures: Figures
    ) -> tuple[int, bytes, str]:
        data = urlencode(fields).encode() if fields is not None else None
        route = f"{'GET' if data is None else 'POST'} {route_of(path)}"
        began = time.monotonic()
        try:
            answer = ask(f"{self._url}{path}", data=data, headers=self._headers, seconds=PATIENCE_S)
        except OSError as lost:
            figures.went_wrong(f"{route}: no answer, {type(lost).__name__}")
            return 0, b"", ""
        figures.page(route, (time.monotonic() - began) * 1000)
        if answer[0] >= 400:
            figures.went_wrong(f"{route} as {self._person['role']}: {answer[0]}")
        return answer
