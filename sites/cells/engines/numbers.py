"""Numbers as people type them: decimal commas, thousands marks, stray spaces."""

import re
from functools import lru_cache

_SPACES = dict.fromkeys(map(ord, "\u00a0\u2007\u2009\u202f\u2002\u2003"), " ")
_PLAIN = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?", re.IGNORECASE)
_SPACED = re.compile(r"\d{1,3}([ '’]\d{3})+(?=[.,]|$)")
_AMBIGUOUS = re.compile(r"[+-]?[1-9]\d{0,2}[.,]\d{3}")

COMMA, POINT = ",", "."


def tidy(text: str) -> str:
    """Return the text with every kind of space made plain and none at the ends."""
    return " ".join(text.translate(_SPACES).split())


def decimal_mark(text: str) -> str:
    """Return which decimal mark the number shows: "," or ".", "?" where it could be either.

    Empty where the text has no mark at all, or is no number.
    """
    bare = _joined(tidy(text))
    if _AMBIGUOUS.fullmatch(bare):
        return "?"
    for mark in (POINT, COMMA):
        if (COMMA in bare or POINT in bare) and _in_mark(bare, mark) is not None:
            return mark
    return ""


@lru_cache(maxsize=20_000)
def read_number(text: str, mark: str = POINT) -> float:
    """Return the number; `mark` settles only what could be read both ways, such as "1,250".

    Raises:
        ValueError: this is no number.
    """
    bare = _joined(tidy(text))
    other = POINT if mark == COMMA else COMMA
    for each in (mark, other):
        number = _in_mark(bare, each)
        if number is not None:
            return number
    raise ValueError(f"Expected a number, got {text!r}")


def _joined(text: str) -> str:
    """Take out thousands marks that are spaces or apostrophes, where they stand right."""
    sign = text[:1] if text[:1] in "+-−" else ""
    digits = text[len(sign) :].strip()
    if _SPACED.match(digits):
        digits = re.sub(r"[ '’]", "", digits)
    return sign.replace("−", "-") + digits


def _in_mark(text: str, mark: str) -> float | None:
    """Read with `mark` as the decimal mark and the other one before groups of three."""
    group = COMMA if mark == POINT else POINT
    if group in text:
        if not re.fullmatch(rf"[+-]?[1-9]\d{{0,2}}(\{group}\d{{3}})+(\{mark}\d*)?", text):
            return None
        text = text.replace(group, "")
    text = text.replace(mark, POINT)
    return float(text) if _PLAIN.fullmatch(text) else None
