"""Technicians and clients read Spanish: the catalogue is whole, and pages speak it."""

import gettext
import re
from pathlib import Path
from typing import Any

import pytest

from tests.cast import Cast, Corner
from tests.web.addresses import samples_for
from tests.web.test_every_word_can_be_translated import Texts, pages_of

FOLDER = Path(__file__).parent.parent.parent / "sites" / "locale" / "es" / "LC_MESSAGES"
# It speaks the language of the user who got the mail with its address, not of the one who opens it.
# A report is read in the language in which it was issued.
IN_ANOTHERS_LANGUAGE = {"faults:unsubscribe", "reports:issued"}
PLACEHOLDER = re.compile(r"%\(\w+\)|%[sd]")


@pytest.fixture(scope="module")
def catalogue() -> dict[Any, str]:
    """What runs: each English text, or (text, which plural), with its Spanish."""
    with (FOLDER / "django.mo").open("rb") as compiled:
        read: dict[Any, str] = gettext.GNUTranslations(compiled)._catalog  # type: ignore[attr-defined]
    return {key: text for key, text in read.items() if key}


def entries() -> list[str]:
    """Return the entries of the readable catalogue, the header left out."""
    whole = (FOLDER / "django.po").read_text(encoding="utf-8")
    return [entry for entry in whole.split("\n\n")[1:] if entry.strip()]


def joined(entry: str, word: str) -> str:
    """Return the text of one entry after `msgid` or `msgstr`, lines joined."""
    found = re.search(rf'^{re.escape(word)} ((?:".*"\n?)+)', entry, re.MULTILINE)
    return "".join(re.findall(r'"(.*)"', found[1])) if found else ""


def test_no_text_is_left_without_its_spanish() -> None:
    empty = [
        joined(entry, "msgid")
        for entry in entries()
        if not (joined(entry, "msgstr") or joined(entry, "msgstr[0]"))
    ]
    assert empty == []


def test_what_runs_was_made_from_what_is_read(catalogue: dict[Any, str]) -> None:
    texts = {key[0] if isinstance(key, tuple) else key for key in catalogue}
    assert len(texts) == len(entries())


def test_each_text_keeps_its_placeholders(catalogue: dict[Any, str]) -> None:
    lost = [
        key
        for key, text in catalogue.items()
        if isinstance(key, str)
        and sorted(PLACEHOLDER.findall(key)) != sorted(PLACEHOLDER.findall(text))
    ]
    assert lost == []


@pytest.mark.django_db
@pytest.mark.parametrize("who", ["technician", "client_user", "tracer"])
def test_no_page_says_in_english_what_the_catalogue_says_in_spanish(
    who: str, cast: Cast, ours: Corner, catalogue: dict[Any, str]
) -> None:
    user = getattr(cast, who)
    user.language = "es"
    user.save()
    english = {
        key for key, text in catalogue.items() if isinstance(key, str) and key != text
    } - set(catalogue.values())
    samples = samples_for(ours, starter=cast.owner)
    found = {
        name: said & english
        for name, page in pages_of(user, samples)
        if (said := _said(page)) and name not in IN_ANOTHERS_LANGUAGE
    }
    assert len(found) > 5
    assert {name: words for name, words in found.items() if words} == {}


def _said(page: str) -> set[str]:
    texts = Texts()
    texts.feed(page)
    return {" ".join(text.split()).rstrip(":") for text in texts.found} - {""}
