"""A sheet as it came out of a file, before anyone knows what it is."""

from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

Cell = str | int | float | bool | date | datetime | time | timedelta
RawRows = list[list[Cell]]


@dataclass
class RawSheet:
    """Rows and columns of cells; `rows[0]` is the row that people see as number 1.

    `broken` names cells by (row, column), both from 0, that hold an error or a formula which
    was never computed. `hidden` holds row numbers as people see them.
    """

    name: str
    filename: str
    rows: RawRows
    hidden: frozenset[int] = frozenset()
    broken: dict[tuple[int, int], str] = field(default_factory=dict)
    delimiter: str = ""


def column_letter(index: int) -> str:
    """Return the letter of a column as spreadsheets show it: 0 is A, 26 is AA."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def column_index(letters: str) -> int:
    """Return the number of a column from its letter: A is 0, AA is 26."""
    index = 0
    for letter in letters.upper():
        index = index * 26 + ord(letter) - ord("A") + 1
    return index - 1


def is_blank(cell: Cell) -> bool:
    """Return whether a cell holds nothing but spaces."""
    return isinstance(cell, str) and (not cell or cell.isspace())
