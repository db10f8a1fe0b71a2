"""Programs, people at pages and phones: each sends until it is told that what it sent is kept.

Whoever gets no answer, or one that says that something broke, sends the same again under the same
key. Three in ten requests of programs go out three times at once.
"""

import base64
import json
import random
import re
import threading
import time
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from io import BytesIO
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from PIL import Image

from tests.bench.kills.asking import ask
from tests.bench.kills.ledger import Ledger, Written

PATIENCE_S = 15.0
GIVES_UP_AFTER_S = 150.0
THINKS_S = (0.05, 0.4)
AGAIN_S = (0.2, 0.8)
AT_ONCE = 3
SHARE_AT_ONCE = 0.3
COOKIE_KEY = "k" * 32
TRY_LATER = {429, 500, 502, 503, 504, 507}
SIGN_IN, SHOWS_ADDRESS = "sign-in", b'class="address"'
_ONCE = re.compile(r'name="once" value="([0-9a-f-]{36})"')

Answer = tuple[int, bytes, str]
Act = Callable[[random.Random, int], None]


class Writers:
    """All who write, until told to stop; `people` comes from the scene."""

    def __init__(self, url: str, people: Mapping[str, Any], ledger: Ledger, seed: int) -> None:
        self._url, self._people, self._ledger = url, people, ledger
        self._lock = threading.Lock()
        self._stations = list(people["stations"])
        self._readers, self._quotes = list(people["readers"]), list(people["quotes"])
        self._is_over = threading.Event()
        each = (self._programs, self._programs, self._offices, self._offices, self._phones)
        self._threads = [
            threading.Thread(target=self._go_on, args=(act, random.Random(seed + n), n))
            for n, act in enumerate(each)
        ]
        self.problems: list[str] = []

    def start(self) -> None:
        """Begin to write."""
        for thread in self._threads:
            thread.start()

    def stop(self) -> None:
        """Let everybody finish what they are at: it is sent until it is acknowledged."""
        self._is_over.set()
        for thread in self._threads:
            thread.join()

    def _go_on(
        self, act: Callable[[random.Random, int], None], draw: random.Random, n: int
    ) -> None:
        while not self._is_over.is_set():
            try:
                act(draw, n)
            except Exception as error:
                self.problems.append(f"{act.__name__}: {type(error).__name__}: {error}")
            time.sleep(draw.uniform(*THINKS_S))

    def _fresh_station(self) -> tuple[str, str, str] | None:
        with self._lock:
            return tuple(self._stations.pop()) if self._stations else None

    def _until_kept(self, row: Written, send: Callable[[], tuple[int, str, str]]) -> None:
        """Send until it is kept or refused; `send` returns status, what was made, and a refusal."""
        end = time.monotonic() + GIVES_UP_AFTER_S
        while time.monotonic() < end:
            try:
                status, made, refused = send()
            except OSError as lost:
                self._ledger.heard(row, f"no answer: {type(lost).__name__}")
            else:
                self._ledger.heard(row, status, made=made, refused=refused)
                if made or refused:
                    return
            time.sleep(random.uniform(*AGAIN_S))
        self._ledger.heard(row, "gave up", refused="gave up")

    # Programs.

    def _programs(self, draw: random.Random, n: int) -> None:
        station = draw.choice(self._people["stations"])
        fresh = self._fresh_station() if draw.random() < 0.5 else None
        if fresh:
            row = self._ledger.begin("fault by a program")
            path, body = "/faults", {"stations": [fresh[0]], "summary": row.mark}
        else:
            row = self._ledger.begin("reading by a program")
            value = draw.randint(15, 80)
            path = "/readings"
            body = {"station": station[0], "kind": "ohms", "value": value, "notes": row.mark}
        token = draw.choice(self._people["tokens"])
        times = AT_ONCE if draw.random() < SHARE_AT_ONCE else 1
        with ThreadPoolExecutor(times) as pool:
            for _ in range(times):
                pool.submit(self._until_kept, row, lambda: self._by_program(path, body, token, row))

    def _by_program(
        self, path: str, body: Mapping[str, object], token: str, row: Written
    ) -> tuple[int, str, str]:
        headers = {"Authorization": f"Bearer {token}", "Idempotency-Key": row.mark}
        headers["Content-Type"] = "application/json"
        status, said, _to = ask(
            f"{self._url}/api/v1{path}",
            data=json.dumps(body).encode(),
            headers=headers,
            seconds=PATIENCE_S,
        )
        if status in {200, 201}:
            return status, str(json.loads(said)["ref"]), ""
        return status, "", _refusal(status, said)

    # People at pages.

    def _offices(self, draw: random.Random, n: int) -> None:
        session = self._people["offices"][n % len(self._people["offices"])]
        roll = draw.random()
        with self._lock:
            reader = self._readers.pop() if self._readers and roll < 0.15 else None
            quote = self._quotes.pop() if self._quotes and 0.15 <= roll < 0.3 else None
        fresh = self._fresh_station() if 0.3 <= roll < 0.65 else None
        if quote:
            row = self._ledger.begin("quote mailed from a page")
            fields = {"sent_to": "Ann", "mail_to": f"{row.mark}@example.org", "language": "en"}
            self._fill_in(row, f"/quotes/{quote}/send/", fields, session)
        elif reader:
            row = self._ledger.begin("daily mail asked for")
            row.mark = str(reader["user"])
            fields = {"is_wanted": "on", "at_hour": "0"}
            self._fill_in(row, "/account/reminders/", fields, reader["session"])
        elif fresh:
            row = self._ledger.begin("stopgap on a page")
            fields = {"stations": fresh[2], "kind": "battery timer", "reason": "wire"}
            fields |= {"fitted": "2026-03-01", "notes": row.mark}
            self._fill_in(row, f"/properties/{fresh[1]}/stopgaps/fit/", fields, session)
        else:
            station = draw.choice(self._people["stations"])
            row = self._ledger.begin("reading on a page")
            fields = {"kind": "ohms", "value": str(draw.randint(15, 80)), "taken_by": row.mark}
            fields["taken_on"] = yesterday()
            self._fill_in(row, f"/stations/{station[0]}/readings/add/", fields, session)

    def _fill_in(self, row: Written, path: str, fields: dict[str, str], session: str) -> None:
        """Open a form once, and send it with its key until it is taken."""
        opened: list[str] = []

        def send() -> tuple[int, str, str]:
            if not opened:
                status, said, _to = self._page(path, session)
                if status != 200:
                    return status, "", _refusal(status, said)
                found = _ONCE.search(said.decode())
                opened.append(found[1] if found else "")
            status, said, to = self._page(path, session, {**fields, "once": opened[0]})
            if status == 302 and SIGN_IN in to:
                return status, "", "signed out"
            # A quote that was sent is answered with its address, and sent again with its page.
            if status == 302 or SHOWS_ADDRESS in said:
                return status, "taken", ""
            return status, "", _refusal(status, said)

        self._until_kept(row, send)

    def _page(self, path: str, session: str, fields: Mapping[str, str] | None = None) -> Answer:
        data = urlencode(fields).encode() if fields is not None else None
        return ask(f"{self._url}{path}", data=data, headers=_cookies(session), seconds=PATIENCE_S)

    # Phones.

    def _phones(self, draw: random.Random, n: int) -> None:
        phone = draw.choice(self._people["phones"])
        kind = "photo from a phone" if draw.random() < 0.4 else "reading from a phone"
        rows = [
            self._ledger.begin(kind) for _ in range(1 if "photo" in kind else draw.randint(1, 4))
        ]
        things = {row.mark: _thing(row, draw.choice(phone["jobs"]), draw) for row in rows}

        def send() -> tuple[int, str, str]:
            sent = [things[row.mark] for row in rows]
            body = {"user": phone["user"], "now": now(), "items": sent}
            status, said, _to = ask(
                f"{self._url}/sheet/items/",
                data=json.dumps(body).encode(),
                headers={**_cookies(phone["session"]), "Content-Type": "application/json"},
                seconds=PATIENCE_S,
            )
            if status != 200:
                return status, "", _refusal(status, said)
            answers = json.loads(said)["answers"]
            for row, each in zip(rows[1:], answers[1:], strict=True):
                self._ledger.heard(row, status, **_of_thing(each))
            return (status, *_of_thing(answers[0]).values())

        self._until_kept(rows[0], send)


def _thing(row: Written, sheet: Mapping[str, Any], draw: random.Random) -> dict[str, object]:
    if "photo" in row.kind:
        body: dict[str, object] = {"caption": row.mark, "picture": _picture(draw)}
        kind = "photo"
    else:
        body = {"kind": "ohms", "station": sheet["station"], "value": draw.randint(15, 80)}
        body["notes"], kind = row.mark, "reading"
    key = str(UUID(int=draw.getrandbits(128), version=4))
    return {"id": key, "kind": kind, "job": sheet["job"], "at": now(), "body": body}


def _picture(draw: random.Random) -> str:
    """Return a photo of some 30 kB: noise, which JPEG cannot make small."""
    image = Image.frombytes("RGB", (160, 120), draw.randbytes(160 * 120 * 3))
    written = BytesIO()
    image.save(written, "JPEG", quality=90)
    return base64.b64encode(written.getvalue()).decode()


def _of_thing(answer: Mapping[str, Any]) -> dict[str, str]:
    if answer["answer"] == "accepted":
        return {"made": str(answer["made"]), "refused": ""}
    return {"made": "", "refused": f"{answer['answer']}: {answer.get('why', '')}"}


def _refusal(status: int, said: bytes) -> str:
    """Return why it is not to be sent again, or nothing where it is."""
    if status in TRY_LATER or status == 302:
        return ""
    return f"{status}: {re.sub(rb'<[^>]+>', b' ', said)[-600:].decode(errors='replace')}"


def _cookies(session: str) -> dict[str, str]:
    cookies = f"__Host-sessionid={session}; __Host-csrftoken={COOKIE_KEY}"
    return {"Cookie": cookies, "X-CSRFToken": COOKIE_KEY}


def yesterday() -> str:
    """Return a day that has come everywhere, at a service too whose clock is an hour behind."""
    return (datetime.now(UTC) - timedelta(days=1)).date().isoformat()


def now() -> str:
    """Return this moment, as phones write it."""
    return datetime.now(UTC).isoformat()
