"""What a column of a sheet may hold, and how one cell becomes a value in storage units."""

import re
from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from django.utils.translation import gettext as _

from sites.cells.engines.defused import undefuse
from sites.cells.engines.measures import Dimension, number_part, plain_unit, read_measure
from sites.cells.engines.numbers import POINT, decimal_mark
from sites.cells.engines.plain_words import as_kept
from sites.cells.engines.raw import Cell
from sites.cells.services.refusals import Unreadable
from sites.cells.services.shown import Cell as Shown
from sites.cells.services.shown import number

_PLAIN = Dimension("", "", "")


@dataclass(frozen=True, slots=True)
class Manner:
    """How the cells of one file are to be read; an empty `order` was not settled yet."""

    today: date
    order: str = ""
    mark: str = POINT
    mark_is_sure: bool = True


@dataclass(frozen=True, slots=True)
class Column(ABC):
    """One column of the file contract, for both ways: how it is read and how it is written.

    `also` holds near-synonyms of the heading as people write them. `attribute` names the
    record's field that is loaded and written as it is. Where writing differs from that, `shows`
    is a path from the records of a row ("station.number"), or a function of them.
    """

    field: str
    also: str = ""
    required: bool = False
    attribute: str = ""
    shows: str | Callable[..., Any] = ""
    empty: Any = None

    @abstractmethod
    def read(self, cell: Cell, manner: Manner, unit: str) -> Any:
        """Return the value of a cell that is not blank; raises `Unreadable`."""

    def unit_for(self, heading_unit: str, system: str) -> str:
        """Return the unit that holds for a cell that names none."""
        return heading_unit

    @property
    def heading(self) -> str:
        """The heading that is written."""
        return self.field

    def can_mean(self, word: str) -> bool:
        """Whether a word such as "unknown" is meant as it stands, and not as an empty cell."""
        return False

    def stored(self, records: Sequence[Any]) -> Any:
        """Return what the records of one row hold for this column; None where nothing does."""
        if callable(self.shows):
            return self.shows(*records)
        return held_by(records, self.shows or self.attribute)

    def cell(self, value: Any) -> Shown:
        """Return a stored value, which is not nothing, as `read` reads it back."""
        return value if isinstance(value, int | date) else as_kept(str(value))

    def show(self, value: Any, unit: str) -> str:
        """Return a stored value as the preview of a load tells it."""
        return "" if value is None else str(value)

    def same(self, old: Any, new: Any) -> bool:
        """Return whether two stored values are one."""
        return bool(old == new)


def held_by(records: Sequence[Any], path: str) -> Any:
    """Follow a path such as "leg.label" from the first of the records that has its start."""
    first, *rest = path.split(".")
    found = next((getattr(each, first) for each in records if hasattr(each, first)), None)
    for name in rest:
        found = None if found is None else getattr(found, name)
    return found


def plain_text(cell: Cell, *, keep_lines: bool = False) -> str:
    """Return a cell as text: whole numbers without a point, days and times as written."""
    if isinstance(cell, str):
        return as_kept(undefuse(cell), keep_lines=keep_lines)
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() else repr(cell)
    if isinstance(cell, datetime):
        shown = cell.date().isoformat()
        return f"{shown} {cell:%H:%M}" if cell.time() != time() else shown
    if isinstance(cell, time):
        return f"{cell:%H:%M}"
    return str(cell)


@dataclass(frozen=True, slots=True)
class Text(Column):
    """Words. A `name` must not be a day: spreadsheets turn "1-2" into one behind your back."""

    longest: int = 120
    empty: Any = ""
    name: bool = False
    lines: bool = False

    def can_mean(self, word: str) -> bool:
        """Words are kept as written."""
        return True

    def read(self, cell: Cell, manner: Manner, unit: str) -> str:
        """Return tidy text."""
        if self.name and isinstance(cell, date | time):
            raise Unreadable(
                _(
                    "The spreadsheet has turned this name into a day or a time. Format the "
                    "column as text and type the name again."
                )
            )
        text = plain_text(cell, keep_lines=self.lines)
        if len(text) > self.longest:
            raise Unreadable(
                _("This is %(length)d characters long; at most %(longest)d fit. Shorten it.")
                % {"length": len(text), "longest": self.longest}
            )
        return text

    def cell(self, value: Any) -> Shown:
        """Tidy words; several lines only where the column keeps them."""
        return as_kept(str(value), keep_lines=self.lines)


@dataclass(frozen=True, slots=True)
class Whole(Column):
    """A whole number, with words such as "station" or "#" before it allowed."""

    least: int = 0
    most: int = 999_999

    def read(self, cell: Cell, manner: Manner, unit: str) -> int:
        """Return the number."""
        found = re.fullmatch(
            r"(?:station|stn|zone|valve|no\.?|nr\.?|#)?\s*(-?\d+)(?:[.,]0+)?",
            plain_text(cell).casefold(),
        )
        if not found or not self.least <= int(found[1]) <= self.most:
            raise Unreadable(
                _("Expected a whole number from %(least)d up. Write for example 7.")
                % {"least": self.least}
            )
        return int(found[1])


@dataclass(frozen=True, slots=True)
class Measure(Column):
    """A number with a unit: in the cell, in the heading, or the property's own."""

    dimension: Dimension = _PLAIN
    least: float | None = 0.0
    most: float | None = None
    above_least: bool = False

    @property
    def heading(self) -> str:
        """With the stored unit where units differ: exact, whatever the property."""
        differs = self.dimension.us != self.dimension.metric
        return f"{self.field} ({self.dimension.stored})" if differs else self.field

    def cell(self, value: Any) -> Shown:
        """The number in the stored unit."""
        return number(value)

    def read(self, cell: Cell, manner: Manner, unit: str) -> float:
        """Return the measure in the stored unit."""
        value = self._number(cell, manner, unit)
        too_low = self.least is not None and (
            value <= self.least if self.above_least else value < self.least
        )
        most = self.dimension.most if self.most is None else self.most
        if too_low or not value <= most:
            raise Unreadable(self._range())
        return value

    def unit_for(self, heading_unit: str, system: str) -> str:
        """Heading first, then the property's system."""
        return heading_unit or self.dimension.default(system)

    def show(self, value: Any, unit: str) -> str:
        """Back in the file's own unit, so that old and new can be compared."""
        if value is None:
            return ""
        shown = f"{self.dimension.from_stored(float(value), unit):.6g}"
        return shown if unit == "1" else f"{shown} {unit}"

    def same(self, old: Any, new: Any) -> bool:
        """Equal but for the noise of conversions."""
        if old is None or new is None:
            return old is new
        return abs(float(old) - float(new)) <= 1e-9 * max(1.0, abs(float(old)))

    def _number(self, cell: Cell, manner: Manner, unit: str) -> float:
        if isinstance(cell, int | float) and not isinstance(cell, bool):
            return self.dimension.to_stored(float(cell), unit)
        if not isinstance(cell, str):
            raise Unreadable(_("Expected a number, and this is a day or a yes/no."))
        refuse_unsure(cell, manner)
        try:
            return read_measure(cell, self.dimension, unit=unit, mark=manner.mark)
        except ValueError:
            raise Unreadable(
                _("This is no number that can be read. Write for example 85 or 85 %(unit)s.")
                % {"unit": "" if unit == "1" else unit}
            ) from None

    def _range(self) -> str:
        if self.most is None:
            return _("Expected %(least)g or more. Correct the number or its unit.") % {
                "least": self.least
            }
        return _("Expected a value from %(least)g to %(most)g. Correct the number or its unit.") % {
            "least": self.least,
            "most": self.most,
        }


def refuse_unsure(text: str, manner: Manner) -> None:
    """Refuse a number that the file's other numbers leave open, such as "1,250"."""
    if not manner.mark_is_sure and decimal_mark(number_part(text)) == "?":
        raise Unreadable(
            _("This can be read with a decimal comma or with a thousands comma: answer which.")
        )


@dataclass(frozen=True, slots=True)
class Flag(Column):
    """Yes or no."""

    def read(self, cell: Cell, manner: Manner, unit: str) -> bool:
        """Return the flag."""
        text = plain_text(cell).casefold()
        if text in ("yes", "y", "true", "1", "x", "si", "sí", "s", "loaded", "on", "enabled"):
            return True
        if text in ("no", "n", "false", "0", "off", "none", "disabled", "unloaded"):
            return False
        raise Unreadable(_("Expected yes or no."))

    def cell(self, value: Any) -> Shown:
        """As it is read in any language."""
        return "yes" if value else "no"

    def show(self, value: Any, unit: str) -> str:
        """Yes or no."""
        return "" if value is None else (_("yes") if value else _("no"))


@dataclass(frozen=True, slots=True)
class Choice(Column):
    """One of a few words; `words` maps each way of writing, in plain letters, to the value."""

    words: Mapping[str, str] | None = None
    empty: Any = ""

    def can_mean(self, word: str) -> bool:
        """Where "not known" is one of the words, it is meant."""
        return plain_unit(word) in (self.words or {})

    def read(self, cell: Cell, manner: Manner, unit: str) -> str:
        """Return the value that the words stand for."""
        words = self.words or {}
        value = words.get(plain_unit(plain_text(cell)))
        if value is None:
            raise Unreadable(
                _("This is none of the words that are known here. Write one of: %(words)s.")
                % {"words": ", ".join(dict.fromkeys(words.values()))}
            )
        return value

    def cell(self, value: Any) -> Shown:
        """The word; one that is not known here would stop the whole file."""
        word = str(value)
        return word if plain_unit(word) in (self.words or {}) else ""


def words_for(values: list[str], **also: str) -> dict[str, str]:
    """Return the table of a `Choice`: each value itself, and others as "a|b" by value.

    Keys of `also` write a value with underscores for its spaces.
    """
    table = {plain_unit(value): value for value in values}
    for name, others in also.items():
        value = name.replace("_", " ")
        table |= {plain_unit(other): value for other in others.split("|")}
    return table
