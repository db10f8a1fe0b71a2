"""Headings as people write them, matched to the columns of the file contract."""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from sites.cells.engines.measures import AREA, FLOW, RATE
from sites.cells.engines.plain_words import normal
from sites.cells.engines.raw import Cell
from sites.cells.services.columns import Column, Measure, plain_text
from sites.cells.services.size_and_names import Size
from sites.load.services.kinds import SheetKind

_BRACKETS = re.compile(r"(.*?)[(\[](.*?)[)\]](.*)", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Meant:
    """A column that a heading can mean, with the unit in the heading."""

    column: Column
    unit: str
    is_canonical: bool


Fits = Callable[[int, Column], bool]


def meanings(text: str, kind: SheetKind) -> list[Meant]:
    """Return what a heading can mean, the likeliest first."""
    for base, unit in _readings(text):
        found = [
            Meant(column, unit if _measures(column) else "", is_canonical)
            for column, is_canonical in kind.named(normal(base))
            if not unit or not _measures(column) or _knows(column, unit)
        ]
        if found:
            return found
    base = _BRACKETS.sub(r"\1 \3", text)
    found = [Meant(column, "", sure) for column, sure in kind.named(normal(base))]
    return found or _by_unit(text, kind)


def match_row(
    cells: Iterable[Cell], kind: SheetKind, fits: Fits = lambda _index, _column: True
) -> dict[str, tuple[int, str]]:
    """Return {field: (column index, unit)} for one row of headings.

    A canonical heading wins over a near-synonym, one that can mean a single column over one that
    can mean several; of two alike, the left one. What stands below a heading decides as well.

    Args:
        fits: whether the cells below a heading can be what a column holds.
    """
    asked = [
        (index, meant)
        for index, cell in enumerate(cells)
        if isinstance(cell, str) and cell.strip() and (meant := meanings(plain_text(cell), kind))
    ]
    asked.sort(key=lambda one: len(one[1]) > 1)
    found: dict[str, tuple[int, str]] = {}
    taken: set[int] = set()
    for is_canonical in (True, False):
        for index, meant in asked:
            for each in meant:
                able = each.is_canonical or fits(index, each.column)
                if each.is_canonical is is_canonical and index not in taken and able:
                    if each.column.field in found:
                        continue
                    found[each.column.field] = (index, each.unit)
                    taken.add(index)
    return _with_required(found, asked)


def _with_required(
    found: dict[str, tuple[int, str]], asked: list[tuple[int, list[Meant]]]
) -> dict[str, tuple[int, str]]:
    """Give a column without which no row can be read its heading, though nothing below it can be
    read: each cell is then named."""
    for index, meant in asked:
        for each in meant:
            if each.column.required and each.column.field not in found:
                rest = {name: place for name, place in found.items() if place[0] != index}
                found = {**rest, each.column.field: (index, each.unit)}
    return found


def _by_unit(text: str, kind: SheetKind) -> list[Meant]:
    """A heading that is a unit alone, such as "Sq. ft.", means the one column that has it."""
    able = [
        column
        for column in kind.columns
        if isinstance(column, Measure)
        and column.dimension in (AREA, FLOW, RATE)
        and column.dimension.knows(text)
    ]
    return [Meant(able[0], text, False)] if len(able) == 1 else []


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
