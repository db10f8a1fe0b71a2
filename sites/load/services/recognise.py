"""Which kind each sheet is, where its headings stand, and what each column means."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import partial

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from sites.cells.engines.plain_words import normal
from sites.cells.engines.raw import Cell, RawSheet, column_index, column_letter, is_blank
from sites.cells.services.columns import Column, Manner, Whole, plain_text
from sites.cells.services.day_columns import Day, Span
from sites.cells.services.refusals import Unreadable
from sites.load.services.headings import match_row
from sites.load.services.kinds import Kinds, SheetKind
from sites.load.services.preview import ColumnMatch, Digest, SheetReport
from sites.load.services.rows import Matched, Sheet, is_unknown

LOOK_FOR_HEADINGS_IN = 40
LOOKED_AT_BELOW = 60
SAMPLES, LONGEST_SAMPLE = 3, 30
_NO_DAY = date.min
_FAR_DAY = date(9000, 1, 1)


@dataclass(frozen=True)
class Answers:
    """What people said about the files where these left it open, or were misread."""

    sheets: dict[str, str]
    columns: dict[str, dict[str, str]]
    day_order: str = ""
    units: str = ""
    decimal: str = ""

    @classmethod
    def from_json(cls, given: dict[str, object] | None) -> "Answers":
        """Take what the page or the command brings; anything unknown is left out."""
        given = given or {}
        sheets, columns = given.get("sheets"), given.get("columns")
        return cls(
            sheets=dict(sheets) if isinstance(sheets, dict) else {},
            columns=dict(columns) if isinstance(columns, dict) else {},
            day_order=_one_of(given.get("day_order"), ("dmy", "mdy")),
            units=_one_of(given.get("units"), ("US", "metric")),
            decimal=_one_of(given.get("decimal"), (",", ".")),
        )


@dataclass(frozen=True)
class _Match:
    kind: SheetKind
    heading_row: int
    fields: dict[str, tuple[int, str]]

    @property
    def score(self) -> tuple[int, int]:
        """More marks of the kind, then more columns with fewer required ones missing."""
        missing = len(self.kind.required - set(self.fields))
        marks = len(self.kind.marks & set(self.fields))
        return len(self.fields) + marks - 3 * missing, -missing


def recognise(raw: RawSheet, kinds: Kinds, answers: Answers, digest: Digest) -> Sheet | None:
    """Return the sheet with its kind and columns, or None where it is none of the register's."""
    chosen = answers.sheets.get(raw.name)
    if chosen == "":
        return None
    match = _best(raw, kinds, chosen)
    if match is None:
        return None
    fields = _corrected(match, answers.columns.get(raw.name, {}))
    report = SheetReport(raw.name, match.kind.name, match.heading_row)
    headings = raw.rows[match.heading_row - 1]
    columns = {
        name: Matched(index, match.kind.by_field[name], unit, _heading(headings, index))
        for name, (index, unit) in fields.items()
    }
    report.columns = _column_matches(raw, match.heading_row, columns)
    return Sheet(raw, match.kind, match.heading_row, columns, report, digest, Manner(_NO_DAY))


def unknown_report(raw: RawSheet) -> SheetReport:
    """Return the report of a sheet that was not recognised, so that people can say what it is."""
    first = next((n for n, row in enumerate(raw.rows, 1) if not all(map(is_blank, row))), 1)
    report = SheetReport(raw.name, "", first)
    report.columns = _column_matches(raw, first, {})
    return report


def tell_columns(sheet: Sheet) -> None:
    """Remark on columns that are not used; required ones that are missing are problems."""
    for match in sheet.report.columns:
        if not match.field:
            _tell_unused(sheet, match)
    for name in sheet.kind.required - set(sheet.columns):
        sheet.report.problem(
            sheet.heading_row,
            name,
            "",
            _("No column '%(name)s' was found. Add it, or say which column it is.")
            % {"name": name},
        )
    if sheet.raw.hidden:
        rows = sorted(row for row in sheet.raw.hidden if row > sheet.heading_row)
        if rows:
            sheet.report.remark(
                _("Hidden rows are read like the others: %(rows)s.") % {"rows": _listed(rows)}
            )


def _tell_unused(sheet: Sheet, match: ColumnMatch) -> None:
    """Say what is left behind with a column that is not used, by how much and what it is."""
    index = column_index(match.letter)
    cells = [
        plain_text(row[index])
        for row in sheet.raw.rows[sheet.heading_row :]
        if index < len(row) and not is_blank(row[index])
    ]
    words = {"letter": match.letter, "heading": match.heading, "count": len(cells)}
    if not cells:
        sheet.report.remark(_("Column %(letter)s '%(heading)s' is empty and was not used.") % words)
        return
    words["samples"] = ", ".join(f"'{cell[:30]}'" for cell in list(dict.fromkeys(cells))[:3])
    sheet.report.remark(
        ngettext(
            "Column %(letter)s '%(heading)s' was not used: %(count)d cell is left behind "
            "(%(samples)s). If it matters, say which column it is.",
            "Column %(letter)s '%(heading)s' was not used: %(count)d cells are left behind "
            "(such as %(samples)s). If they matter, say which column it is.",
            len(cells),
        )
        % words
    )


def _best(raw: RawSheet, kinds: Kinds, chosen: str | None) -> _Match | None:
    if chosen and chosen in kinds:
        return _match(raw, kinds[chosen])
    named = _by_name(raw.name, kinds)
    if named is not None and named.is_left_alone:
        return _match(raw, named)
    matches = [match for kind in kinds.values() if (match := _match(raw, kind))]
    best = max(matches, key=lambda match: match.score, default=None)
    if best and best.kind is not named:
        best = _as_flat_list(best, matches)
    by_name = next((match for match in matches if match.kind is named), None)
    # A list called "stations" with a column "stopgap since" is the flat list all the same.
    if by_name and not (best and best.kind.marks & set(best.fields) and best.score > by_name.score):
        return by_name
    return best if best and best.score[0] >= 2 else None


def _as_flat_list(best: _Match, matches: list[_Match]) -> _Match:
    """Return the flat list where it reads all that another kind does: it makes what it implies,
    and needs no other sheet."""
    read = {place[0] for place in best.fields.values()}
    for match in matches:
        is_alike = match.heading_row == best.heading_row
        columns = {place[0] for place in match.fields.values()}
        if match.kind.makes_what_it_implies and is_alike and read <= columns:
            return match
    return best


def _by_name(name: str, kinds: Kinds) -> SheetKind | None:
    """By the whole name, else by the longest known name that it holds as words."""
    whole = normal(name)
    known = [
        (normal(each), kind)
        for kind in kinds.values()
        for each in (kind.name, *filter(None, kind.also.split("|")))
    ]
    for each, kind in known:
        if each == whole:
            return kind
    words = {normal(word).rstrip("s") for word in re.split(r"[\W_]+", name)} - {""}
    within = [(len(each), kind) for each, kind in known if each.rstrip("s") in words]
    return max(within, key=lambda pair: pair[0])[1] if within else None


def _match(raw: RawSheet, kind: SheetKind) -> _Match | None:
    best: _Match | None = None
    for number, row in enumerate(raw.rows[:LOOK_FOR_HEADINGS_IN], 1):
        fields = match_row(row, kind, partial(_fits, raw, number))
        if len(fields) >= 2 and (best is None or len(fields) > len(best.fields)):
            best = _Match(kind, number, fields)
    return best


def _fits(raw: RawSheet, heading_row: int, index: int, column: Column) -> bool:
    """Whether what stands below a heading can be what a column holds: a number is no day.

    One cell that can be read is enough: the others are named as problems, each in its place.
    """
    if not isinstance(column, Day | Span | Whole):
        return True
    below = raw.rows[heading_row : heading_row + LOOKED_AT_BELOW]
    cells = [row[index] for row in below if index < len(row) and not is_unknown(row[index])]
    return not cells or any(_can_be_read(column, cell) for cell in cells)


def _can_be_read(column: Column, cell: Cell) -> bool:
    try:
        column.read(cell, Manner(_FAR_DAY), "")
    except Unreadable:
        return False
    return True


def _corrected(match: _Match, said: dict[str, str]) -> dict[str, tuple[int, str]]:
    """People's word goes before the match: {column letter: field, or empty for "not used"}."""
    by_letter = {column_index(letter): name for letter, name in said.items()}
    fields = {
        name: place
        for name, place in match.fields.items()
        if place[0] not in by_letter and name not in by_letter.values()
    }
    kept = {place[0]: place for place in match.fields.values()}
    for index, name in by_letter.items():
        if name in match.kind.by_field:
            fields[name] = kept.get(index, (index, ""))
    return fields


def _column_matches(
    raw: RawSheet, heading_row: int, columns: dict[str, Matched]
) -> list[ColumnMatch]:
    by_index = {matched.index: name for name, matched in columns.items()}
    headings = raw.rows[heading_row - 1] if raw.rows else []
    return [
        ColumnMatch(
            column_letter(index),
            plain_text(cell)[:80],
            by_index.get(index, ""),
            _samples(raw, heading_row, index),
        )
        for index, cell in enumerate(headings)
        if not is_blank(cell) or index in by_index
    ]


def _samples(raw: RawSheet, heading_row: int, index: int) -> tuple[str, ...]:
    """Return the first values of a column that differ."""
    below = raw.rows[heading_row : heading_row + LOOKED_AT_BELOW]
    cells = [row[index] for row in below if index < len(row) and not is_blank(row[index])]
    values = dict.fromkeys(plain_text(cell)[:LONGEST_SAMPLE] for cell in cells)
    return tuple(values)[:SAMPLES]


def _heading(headings: list[Cell], index: int) -> str:
    return plain_text(headings[index])[:80] if index < len(headings) else ""


def _listed(numbers: Iterable[int]) -> str:
    numbers = list(numbers)
    shown = ", ".join(map(str, numbers[:20]))
    return f"{shown}…" if len(numbers) > 20 else shown


def _one_of(value: object, allowed: tuple[str, ...]) -> str:
    return value if isinstance(value, str) and value in allowed else ""
