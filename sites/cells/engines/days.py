"""Days as people type them: real days, and windows where only a month or a year is known."""

import re
import unicodedata
from calendar import monthrange
from datetime import date
from functools import lru_cache

from sites.cells.engines.numbers import tidy
from sites.cells.engines.possible_days import is_possible

Window = tuple[date, date]

DMY, MDY = "dmy", "mdy"
_MONTHS = {
    name: number
    for names in (
        "jan feb mar apr may jun jul aug sep oct nov dec",
        "ene feb mar abr may jun jul ago sep oct nov dic",
    )
    for number, name in enumerate(names.split(), start=1)
}
_ABOUT = re.compile(
    r"^(?:~|c\.|ca\.?|circa|about|approx\.?|around|in|since|desde|en)(?![a-z])\s*(?=\S)"
)
_TIME = re.compile(r"[t ]\s*\d{1,2}:\d{2}(:\d{2}(\.\d+)?)?\s*([ap]m|z)?$")
_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})")
_SOLID = re.compile(r"((?:19|20)\d{2})(\d{2})(\d{2})")
_TWO_WAYS = re.compile(r"(\d{1,2})[-/.](\d{1,2})[-/.](\d{4}|\d{2})")
_YEAR = re.compile(r"((?:19|20)\d{2})")
_YEAR_MONTH = re.compile(r"((?:19|20)\d{2})[-/.](\d{1,2})")
_MONTH_YEAR = re.compile(r"(\d{1,2})[-/.]((?:19|20)\d{2})")
_WORDS = re.compile(r"[a-z]+|\d+")
_FROM_TO = re.compile(r"(\d{4}-\d\d-\d\d) to (\d{4}-\d\d-\d\d)")


class Unsettled(ValueError):
    """The text names a day in two ways, and nothing says which is meant."""


def order_shown(text: str) -> str:
    """Return "dmy" or "mdy" where the text itself settles it, "?" where it could be both.

    Empty where the order of day and month plays no part.
    """
    found = _TWO_WAYS.fullmatch(_bare(text))
    if not found:
        return ""
    first, second = int(found[1]), int(found[2])
    if first == second:
        return ""
    if first > 12:
        return DMY
    return MDY if second > 12 else "?"


@lru_cache(maxsize=20_000)
def read_window(text: str, *, order: str, today: date) -> Window:
    """Return the first and the last day that the text can mean.

    Raises:
        Unsettled: it is a day in two ways, and `order` is empty.
        ValueError: it is no day, month or year, or one that nobody can mean.
    """
    window = _read_window(text, order, today)
    if not (is_possible(window[0], today) and is_possible(window[1], today)):
        raise ValueError(f"Expected a day that can be meant, got {text!r}")
    return window


def _read_window(text: str, order: str, today: date) -> Window:
    bare = _bare(text)
    if found := _FROM_TO.fullmatch(bare):
        return _window(date.fromisoformat(found[1]), date.fromisoformat(found[2]))
    if found := _ISO.fullmatch(bare) or _SOLID.fullmatch(bare):
        return _one(int(found[1]), int(found[2]), int(found[3]))
    if found := _TWO_WAYS.fullmatch(bare):
        return _in_order(int(found[1]), int(found[2]), _full_year(found[3], today), order)
    if found := _YEAR.fullmatch(bare):
        return date(int(found[1]), 1, 1), date(int(found[1]), 12, 31)
    if found := _YEAR_MONTH.fullmatch(bare):
        return _month(int(found[1]), int(found[2]))
    if found := _MONTH_YEAR.fullmatch(bare):
        return _month(int(found[2]), int(found[1]))
    return _with_a_month_name(bare, today)


def is_inside(inner: Window, outer: Window) -> bool:
    """Return whether one window of days lies in the other."""
    return outer[0] <= inner[0] and inner[1] <= outer[1]


def adds_nothing(known: tuple[date | None, date | None], given: Window) -> bool:
    """Return whether `given` tells no more than is known: a year never blurs a day."""
    if known[0] is None or known[1] is None:
        return False
    same = known == given
    return same or (given[0] != given[1] and is_inside((known[0], known[1]), given))


def _bare(text: str) -> str:
    """Lower case, without accents, "about" and a time of day."""
    apart = unicodedata.normalize("NFKD", tidy(text).casefold())
    plain = "".join(mark for mark in apart if not unicodedata.combining(mark))
    return _TIME.sub("", _ABOUT.sub("", plain)).strip()


def window_text(window: Window) -> str:
    """Return a window of days as `read_window` reads it: a day, a month, a year, or both ends."""
    first, last = window
    if first == last:
        return first.isoformat()
    if window == (date(first.year, 1, 1), date(first.year, 12, 31)):
        return f"{first.year:04d}"
    if window == _month(first.year, first.month):
        return f"{first:%Y-%m}"
    return f"{first.isoformat()} to {last.isoformat()}"


def _window(first: date, last: date) -> Window:
    if last < first:
        raise ValueError(f"Expected a last day from {first} on, got {last}")
    return first, last


def _one(year: int, month: int, day: int) -> Window:
    only = date(year, month, day)
    return only, only


def _month(year: int, month: int) -> Window:
    return date(year, month, 1), date(year, month, monthrange(year, month)[1])


def _in_order(first: int, second: int, year: int, order: str) -> Window:
    if first == second:
        return _one(year, first, first)
    if not order:
        raise Unsettled
    return _one(year, second, first) if order == DMY else _one(year, first, second)


def _full_year(text: str, today: date) -> int:
    """Two figures mean the past hundred years, up to next year."""
    if len(text) == 4:
        return int(text)
    year = today.year // 100 * 100 + int(text)
    return year if year <= today.year + 1 else year - 100


def _with_a_month_name(bare: str, today: date) -> Window:
    words = [word for word in _WORDS.findall(bare) if word not in ("de", "of", "st", "nd", "th")]
    named = [_MONTHS[word[:3]] for word in words if word[:3] in _MONTHS]
    figures = [word for word in words if word.isdigit()]
    others = [word for word in words if not word.isdigit() and word[:3] not in _MONTHS]
    if len(named) != 1 or others or not 1 <= len(figures) <= 2:
        raise ValueError(f"Expected a day, got {bare!r}")
    if len(figures) == 1:
        return _month(_full_year(figures[0], today), named[0])
    day, year = figures if len(figures[0]) <= 2 else reversed(figures)
    return _one(_full_year(year, today), named[0], int(day))
