"""Every word of ours on a technician's or client's page goes through the catalogue.

A language that puts each translated text in brackets shows what was forgotten: a text outside
of brackets that is not data of a user.
"""

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from typing import Any

import pytest
from django.apps import apps
from django.db import models
from django.test import Client
from django.utils import translation
from django.utils.translation import trans_real

from sites.models import User
from tests.cast import Cast, Corner
from tests.web.addresses import Address, every_address, samples_for
from tests.web.test_every_address import BROWSER

pytestmark = pytest.mark.django_db

WORD = re.compile(r"[A-Za-zÀ-ÿ]{3,}")
# Units, names and abbreviations that stand in every language.
SAME_EVERYWHERE = {
    *{"rejoin", "utc", "min", "gpm", "csv", "xlsx", "zip", "eto", "vac", "awg", "sha"},
    # Rules are cited by their own names.
    *{"cfr", "cga", "osha", "best", "practices", "heat", "guide"},
}
READ_ALOUD = ("aria-label", "title", "alt", "placeholder", "data-label")
MAY_BE_FOREIGN = ("a", "blockquote", "code", "td")
BRACKETED = re.compile(r"⟦[^⟦⟧]*⟧")


class Texts(HTMLParser):
    """All that a page says: text nodes outside scripts, and what is read aloud."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self._skipping = 0
        self._foreign: list[bool] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        # A link to another language names it in that language, and says so, as a letter does that
        # is ready to send; programs are
        # described in one language.
        is_foreign = tag in MAY_BE_FOREIGN and "lang" in dict(attrs)
        self._foreign += [is_foreign] if tag in MAY_BE_FOREIGN else []
        self._skipping += tag in ("script", "style", "option") or is_foreign
        self.found += [value or "" for name, value in attrs if name in READ_ALOUD]

    def handle_endtag(self, tag: str) -> None:
        ends_foreign = tag in MAY_BE_FOREIGN and bool(self._foreign) and self._foreign.pop()
        self._skipping -= tag in ("script", "style", "option") or ends_foreign

    def handle_data(self, data: str) -> None:
        if not self._skipping:
            self.found.append(data)


@pytest.fixture
def brackets(monkeypatch: pytest.MonkeyPatch) -> None:
    """Speak a language in which each text of the catalogue stands in brackets."""

    def one(message: str) -> str:
        return f"⟦{message}⟧" if message else message

    def counted(singular: str, plural: str, number: int) -> str:
        return one(singular if number == 1 else plural)

    monkeypatch.setattr(trans_real, "gettext", one)
    monkeypatch.setattr(trans_real, "ngettext", counted)
    for name in ("gettext", "ngettext"):
        monkeypatch.setattr(translation._trans, name, getattr(trans_real, name))


def words_of_people() -> set[str]:
    """Return every word that stands in a text column: data of users."""
    words: set[str] = set()
    for model in apps.get_models():
        columns = [
            field.attname
            for field in model._meta.concrete_fields
            if isinstance(field, models.CharField | models.TextField) and not field.choices
        ]
        for row in model._default_manager.values_list(*columns) if columns else ():
            for value in row:
                words |= {word.lower() for word in WORD.findall(str(value))}
    return words


def forgotten(page: str, of_people: set[str]) -> set[str]:
    """Return the words of a page that neither the catalogue nor people's data account for."""
    texts = Texts()
    texts.feed(page)
    left = {word.lower() for text in texts.found for word in WORD.findall(_outside(text))}
    return left - of_people - SAME_EVERYWHERE


def _outside(text: str) -> str:
    while (shorter := BRACKETED.sub(" ", text)) != text:
        text = shorter
    return text


def pages_of(user: User, samples: dict[Any, str]) -> Iterator[tuple[str, str]]:
    """Yield (name, text) of each page that this user can open."""
    BROWSER.cookies.clear()
    BROWSER.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    for address in every_address():
        text = _open(BROWSER, address, samples)
        if text:
            yield address.name, text


def _open(browser: Client, address: Address, samples: dict[Any, str]) -> str:
    response: Any = browser.get(address.url(samples))
    is_page = response.status_code == 200 and "html" in response.headers.get("Content-Type", "")
    return response.content.decode() if is_page and not response.streaming else ""


@pytest.mark.parametrize("who", ["technician", "client_user", "tracer"])
@pytest.mark.usefixtures("brackets")
def test_on_each_page_of(who: str, cast: Cast, ours: Corner) -> None:
    samples = samples_for(ours, starter=cast.owner)
    pages = list(pages_of(getattr(cast, who), samples))
    of_people = words_of_people()  # after the pages, since opening one may keep a row
    found = {name: words for name, page in pages if (words := forgotten(page, of_people))}
    assert len(pages) > 10
    assert found == {}
