"""Two plain forms of what people write: one for headings, one for names."""

import unicodedata
from functools import lru_cache


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
