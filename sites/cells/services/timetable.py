"""Cells of a schedule: the days on which it waters, and the times at which it starts."""

import re

from django.utils.translation import gettext as _

from sites.cells.engines.raw import Cell
from sites.cells.services.columns import Manner, Text, plain_text
from sites.cells.services.refusals import Unreadable

WEEK = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


_DAY_NAMES = {name.casefold(): name for name in WEEK} | dict(
    zip(("lun", "mar", "mie", "jue", "vie", "sab", "dom"), WEEK, strict=True)
)


_EVERY = re.compile(r"(?:every|cada)\s*(\d{1,2})(?:\s*(?:days?|dias?))?")


_TIME = re.compile(r"(\d{1,2})[:.h](\d{2})\s*([ap]m)?")


class Days(Text):
    """Days of the week, or every so many days."""

    def read(self, cell: Cell, manner: Manner, unit: str) -> str:
        """Return "Mon Wed Fri" or "every 3"."""
        text = plain_text(cell).casefold().replace("é", "e").replace("á", "a")
        if text in ("daily", "every day", "every", "all", "diario", "cada dia"):
            return "every 1"
        if text in ("every other day", "alternate days"):
            return "every 2"
        if (found := _EVERY.fullmatch(text)) and int(found[1]):
            return f"every {int(found[1])}"
        named = [_DAY_NAMES.get(word[:3]) for word in re.findall(r"[a-z]+", text)]
        if not named or None in named or re.search(r"\d", text):
            raise Unreadable(_("These are no days. Write for example Mon Wed Fri, or every 3."))
        return " ".join(day for day in WEEK if day in named)


class Starts(Text):
    """Times of day at which a schedule starts."""

    def read(self, cell: Cell, manner: Manner, unit: str) -> str:
        """Return "04:30;06:30"."""
        pieces = [piece.strip() for piece in re.split(r"[;,\n]", plain_text(cell).casefold())]
        return ";".join(_time(piece) for piece in pieces if piece)


def _time(text: str) -> str:
    found = _TIME.fullmatch(text)
    hour, minute = (int(found[1]), int(found[2])) if found else (99, 0)
    if found and found[3] and 1 <= hour <= 12:
        hour = hour % 12 + (12 if found[3] == "pm" else 0)
    if hour > 23 or minute > 59:
        raise Unreadable(_("This is no time of day. Write for example 04:30, several with ;."))
    return f"{hour:02d}:{minute:02d}"
