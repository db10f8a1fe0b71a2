"""Plain forms of what people write: for headings, for names, and for words that are kept."""

import re
import unicodedata
from functools import lru_cache

from sites.cells.engines.numbers import tidy

_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")


@lru_cache(maxsize=20_000)
def normal(text: str) -> str:
    """Return a heading without case, accents, spaces and punctuation."""
    text = text.casefold().replace("#", " number ").replace("%", " percent ")
    apart = unicodedata.normalize("NFKD", text)
    return "".join(mark for mark in apart if mark.isalnum())


@lru_cache(maxsize=100_000)
def same_name(text: str) -> str:
    """Return a name for comparing: "Dry  Basin" and "dry basin" are one place."""
    return " ".join(text.split()).casefold()


def as_kept(text: str, *, keep_lines: bool = False) -> str:
    """Return words as the register keeps them: single-spaced, without marks that nobody sees."""
    text = _CONTROL.sub("", text)
    return "\n".join(map(tidy, text.splitlines())).strip() if keep_lines else tidy(text)
