"""Phones that come back into signal at the same moment, and files that leave meanwhile."""

import json
import random
import time
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from typing import Any
from uuid import UUID

from tests.bench.kills.asking import ask
from tests.bench.kills.ledger import Ledger, Written
from tests.bench.kills.writing import COOKIE_KEY, TRY_LATER, now
from tests.bench.people.figures import Figures

# As the phone's script sends them.
AT_ONCE = 20
AGAIN_S = 2.0
# The proxy's word for "others are sending": come again after so long, and up to twice that.
BUSY, BUSY_S = 503, 3.0
GIVES_UP_AFTER_S = 300.0
PATIENCE_S = 60.0
FILES = (
    "/export/register/",
    "/export/register/?as=xlsx",
    "/stations/?export=xlsx",
    "/faults/?export=csv",
    "/properties/?export=xlsx",
)


def headers_of(session: str) -> dict[str, str]:
    """Return what a browser sends besides."""
    cookies = f"__Host-sessionid={session}; __Host-csrftoken={COOKIE_KEY}"
    return {"Cookie": cookies, "X-CSRFToken": COOKIE_KEY}


def come_back(
    url: str, phones: list[Mapping[str, Any]], things: int, figures: Figures, ledger: Ledger
) -> None:
    """Let all phones send all that they hold at once; returns when all of it is kept."""
    with ThreadPoolExecutor(max(1, len(phones))) as pool:
        for number, phone in enumerate(phones):
            pool.submit(_send_all, url, phone, things, number, figures, ledger)


def _send_all(
    url: str,
    phone: Mapping[str, Any],
    things: int,
    seed: int,
    figures: Figures,
    ledger: Ledger,
) -> None:
    draw, began = random.Random(seed), time.monotonic()
    rows = [ledger.begin("reading from a phone") for _ in range(things)]
    for at in range(0, things, AT_ONCE):
        _send(url, phone, rows[at : at + AT_ONCE], draw, figures, ledger)
    figures.whole_phones_ms.append((time.monotonic() - began) * 1000)


def _send(
    url: str,
    phone: Mapping[str, Any],
    rows: list[Written],
    draw: random.Random,
    figures: Figures,
    ledger: Ledger,
) -> None:
    body = {
        "user": phone["user"],
        "now": now(),
        "items": [_thing(row, phone, draw) for row in rows],
    }
    headers = {**headers_of(phone["session"]), "Content-Type": "application/json"}
    end = time.monotonic() + GIVES_UP_AFTER_S
    while time.monotonic() < end:
        began = time.monotonic()
        try:
            status, said, _led = ask(
                f"{url}/sheet/items/",
                data=json.dumps(body).encode(),
                headers=headers,
                seconds=PATIENCE_S,
            )
        except OSError as lost:
            figures.went_wrong(f"phone: no answer, {type(lost).__name__}")
            continue
        if status == 200:
            figures.of_phones_ms.append((time.monotonic() - began) * 1000)
            for row, each in zip(rows, json.loads(said)["answers"], strict=True):
                is_kept = each["answer"] == "accepted"
                refused = "" if is_kept else f"{each['answer']}: {each.get('why', '')}"
                ledger.heard(
                    row, status, made=str(each.get("made", "")) if is_kept else "", refused=refused
                )
            return
        if status == BUSY:
            figures.asked_to_come_again()
            time.sleep(BUSY_S * (1 + draw.random()))
            continue
        figures.went_wrong(f"phone: {status}")
        if status not in TRY_LATER:
            break
        time.sleep(AGAIN_S)
    for row in rows:
        ledger.heard(row, "gave up", refused="gave up")


def _thing(row: Written, phone: Mapping[str, Any], draw: random.Random) -> dict[str, object]:
    sheet = draw.choice(phone["jobs"])
    body = {"kind": "ohms", "station": sheet["station"], "value": draw.randint(15, 80)}
    key = str(UUID(int=draw.getrandbits(128), version=4))
    named = {"id": key, "kind": "reading", "job": sheet["job"], "at": now()}
    return {**named, "body": {**body, "notes": row.mark}}


def take_files(url: str, sessions: list[str], files: int, figures: Figures) -> None:
    """Take so many files at once, and read each to its end."""
    with ThreadPoolExecutor(max(1, files)) as pool:
        for number in range(files):
            session = sessions[number % len(sessions)]
            pool.submit(_take, f"{url}{FILES[number % len(FILES)]}", session, figures)


def _take(address: str, session: str, figures: Figures) -> None:
    began = time.monotonic()
    try:
        status, body, _led = ask(address, headers=headers_of(session), seconds=PATIENCE_S)
    except OSError as lost:
        figures.went_wrong(f"file {address}: no answer, {type(lost).__name__}")
        return
    figures.of_files_ms.append((time.monotonic() - began) * 1000)
    if status != 200 or not body:
        figures.went_wrong(f"file {address}: {status}, {len(body)} bytes")
