"""Headings as people write them, matched to the columns of the file contract."""

import re
from collections.abc import Iterable

from sites.cells.engines.plain_words import normal
from sites.cells.engines.raw import Cell
from sites.cells.services.columns import Column, Measure, plain_text
from sites.cells.services.size_and_names import Size
from sites.load.services.kinds import SheetKind

_BRACKETS = re.compile(r"(.*?)[(\[](.*?)[)\]](.*)", re.DOTALL)


def match_heading(text: str, kind: SheetKind) -> tuple[Column | None, str, bool]:
    """Return the column that a heading means, its unit, and whether it is the canonical name."""
    for base, unit in _readings(text):
        name = normal(base)
        for column, is_canonical in kind.named(name):
            if not unit or not _measures(column):
                return column, "", is_canonical
            if _knows(column, unit):
                return column, unit, is_canonical
    base = _BRACKETS.sub(r"\1 \3", text)
    found = next(iter(kind.named(normal(base))), None)
    return (found[0], "", found[1]) if found else (None, "", False)


def match_row(cells: Iterable[Cell], kind: SheetKind) -> dict[str, tuple[int, str]]:
    """Return {field: (column index, unit)} for one row of headings.

    A canonical heading wins over a near-synonym; of two alike, the left one.
    """
    found: dict[str, tuple[int, str, bool]] = {}
    for index, cell in enumerate(cells):
        if not isinstance(cell, str) or not cell.strip():
            continue
        column, unit, is_canonical = match_heading(plain_text(cell), kind)
        if column is None:
            continue
        held = found.get(column.field)
        if held is None or (is_canonical and not held[2]):
            found[column.field] = (index, unit, is_canonical)
    return {field: (index, unit) for field, (index, unit, _) in found.items()}


def _readings(text: str) -> Iterable[tuple[str, str]]:
    """The ways in which a heading can be a name and a unit."""
    yield text, ""
    if found := _BRACKETS.fullmatch(text):
        yield f"{found[1]} {found[3]}", found[2]
    for mark in (",", ":", " - "):
        if mark in text:
            base, unit = text.rsplit(mark, 1)
            yield base, unit
    words = re.split(r"[\s_]+", text.strip())
    for count in (1, 2):
        if len(words) > count:
            yield " ".join(words[:-count]), " ".join(words[-count:])


def _measures(column: Column) -> bool:
    return isinstance(column, Measure | Size)


def _knows(column: Column, unit: str) -> bool:
    if isinstance(column, Measure):
        return column.dimension.knows(unit)
    return normal(unit) in ("awg", "mm2", "ga", "gauge")
