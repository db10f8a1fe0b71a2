"""The table of the standard names what is there, leaves nothing out, and counts rightly.

Source: OWASP Application Security Verification Standard 5.0.0, CC BY-SA 4.0: numbers and levels.
"""

import ast
import logging
import re
from collections import Counter
from dataclasses import dataclass
from math import log2
from pathlib import Path
from string import ascii_lowercase, digits

import pytest
from django.contrib.sessions.backends.db import SessionStore

from sites.kernel.engines.roles import Role
from tests import make
from tests.architecture.source import APPS, CHECKOUT, python_files
from tests.web.pages import open_page, signed_in

TABLE = Path(__file__).with_name("asvs.md")
# In each section the requirements of levels 1 and 2 are numbered from 1; those of level 3 follow.
LAST = {
    "1.1": 2, "1.2": 9, "1.3": 11, "1.4": 3, "1.5": 2,
    "2.1": 3, "2.2": 3, "2.3": 4, "2.4": 1,
    "3.2": 2, "3.3": 4, "3.4": 6, "3.5": 5, "3.7": 2,
    "4.1": 3, "4.2": 1, "4.3": 2, "4.4": 4,
    "5.1": 1, "5.2": 3, "5.3": 2, "5.4": 3,
    "6.1": 3, "6.2": 12, "6.3": 4, "6.4": 4, "6.5": 5, "6.6": 3, "6.8": 4,
    "7.1": 3, "7.2": 4, "7.3": 2, "7.4": 5, "7.5": 2, "7.6": 2,
    "8.1": 2, "8.2": 3, "8.3": 1, "8.4": 1,
    "9.1": 3, "9.2": 4,
    "10.1": 2, "10.2": 2, "10.3": 4, "10.4": 11, "10.5": 5, "10.6": 2, "10.7": 3,
    "11.1": 2, "11.2": 3, "11.3": 3, "11.4": 4, "11.5": 1, "11.6": 1,
    "12.1": 3, "12.2": 2, "12.3": 4,
    "13.1": 1, "13.2": 5, "13.3": 2, "13.4": 5,
    "14.1": 2, "14.2": 4, "14.3": 3,
    "15.1": 3, "15.2": 3, "15.3": 7,
    "16.1": 1, "16.2": 5, "16.3": 4, "16.4": 3, "16.5": 3,
    "17.1": 1, "17.2": 4, "17.3": 2,
}  # fmt: skip
OF_LEVEL = {"1": 70, "2": 183}
_ROW = re.compile(r"^\| (\d[\d.]+) \| (\d) \| ([^|]+) \| ([^|]+) \| ([^|]+) \|$", re.M)
_PLACE = re.compile(r"`([^`]+)`")


@dataclass(frozen=True)
class Row:
    """One requirement."""

    number: str
    level: str
    subject: str
    state: str
    why: str


ROWS = [Row(*found) for found in _ROW.findall(TABLE.read_text())]


def test_every_requirement_of_both_levels_stands_in_its_order_once() -> None:
    wanted = [f"{section}.{n}" for section, last in LAST.items() for n in range(1, last + 1)]
    assert [row.number for row in ROWS] == wanted
    assert Counter(row.level for row in ROWS) == OF_LEVEL


def test_what_is_met_names_places_that_are_there() -> None:
    lacking = []
    for row in (row for row in ROWS if row.state == "met"):
        places = _PLACE.findall(row.why)
        assert places, row
        for place in places:
            file, _colons, name = place.partition("::")
            path = CHECKOUT / file
            is_there = path.is_file() and (not name or f"def {name}(" in path.read_text())
            lacking += [] if is_there else [place]
    assert lacking == []


def test_what_is_not_met_says_why_and_the_head_of_the_table_counts() -> None:
    counts = Counter(row.state for row in ROWS)
    assert set(counts) == {"met", "n.a.", "open"}
    assert all(len(row.why) > 5 for row in ROWS)
    told = f"{counts['met']} met, {counts['n.a.']} not applicable, {counts['open']} open"
    assert f"**{told}.**" in TABLE.read_text(), told


def _parsed() -> dict[str, ast.Module]:
    return {
        str(path.relative_to(CHECKOUT)): ast.parse(path.read_text()) for path in python_files(*APPS)
    }


def test_nothing_typed_becomes_code_or_a_command() -> None:
    found = {}
    for name, tree in _parsed().items():
        for node in ast.walk(tree):
            if isinstance(node, ast.Call):
                called = ast.unparse(node.func)
                by_shell = any(
                    each.arg == "shell" and ast.unparse(each.value) != "False"
                    for each in node.keywords
                )
                if called in {"eval", "exec", "os.system", "os.popen"} or by_shell:
                    found[name] = called
            elif isinstance(node, ast.Import | ast.ImportFrom):
                imported = {each.name for each in node.names} | {getattr(node, "module", None)}
                if imported & {"pickle", "marshal", "shelve", "yaml"}:
                    found[name] = str(imported)
    assert found == {}


def test_no_weak_hash_is_used() -> None:
    found = {
        name
        for name, tree in _parsed().items()
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute | ast.Name)
        and getattr(node, "attr", getattr(node, "id", "")).lower() in {"md5", "sha1"}
    }
    # Codes of a second factor are of SHA-1, as authenticators expect (RFC 6238): its use in an
    # HMAC is still approved.
    assert found <= {"sites/people/services/second_factor.py"}


@pytest.mark.django_db
def test_the_key_of_a_sign_in_cannot_be_guessed() -> None:
    keys = set()
    for _ in range(20):
        store = SessionStore()
        store.create()
        keys.add(str(store.session_key))
    assert len(keys) == 20
    letters = set("".join(keys))
    assert letters <= set(ascii_lowercase + digits)
    assert {len(key) * log2(36) > 128 for key in keys} == {True}
    # Drawn from all of them: of 640 letters one of 36 is missing once in two million times.
    assert len(letters) == 36


@pytest.mark.django_db
@pytest.mark.usefixtures("collected_static")
def test_what_is_refused_leaves_a_line_in_the_log(caplog: pytest.LogCaptureFixture) -> None:
    technician = make.user(Role.TECHNICIAN)
    with caplog.at_level(logging.WARNING, logger="django.request"):
        assert open_page(technician, "/properties/add/").status == 403
        assert open_page(technician, "/properties/zzzzzzzzzz/").status == 404
        guessing = signed_in(None)
        for _try in range(21):
            last = guessing.post("/account/sign-in/", {"username": "pat", "password": "no"})
        assert last.status_code == 429
    lines = [record.getMessage() for record in caplog.records]
    for words in ("/properties/add/", "/properties/zzzzzzzzzz/", "/account/sign-in/"):
        assert any(words in line for line in lines), words
