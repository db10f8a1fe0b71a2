"""Rows of a recognised sheet: cells by field, read on demand, with problems named."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext as _

from sites.cells.engines.days import order_shown
from sites.cells.engines.plain_words import normal
from sites.cells.engines.raw import Cell, RawSheet, column_letter, is_blank
from sites.cells.services.columns import Column, Manner, plain_text
from sites.cells.services.day_columns import Day, Span
from sites.cells.services.refusals import Unreadable
from sites.load.engines.files.sheet_xml import FORMULA
from sites.load.services.kinds import SheetKind
from sites.load.services.preview import Change, Digest, SheetReport

MINUS_SIGNS = frozenset("-–—−")
# What people write where they do not know. In columns of words it may be a word.
_UNKNOWN = frozenset(
    {
        "?", "??", "???", "n/a", "na", "n.a.", "n/d", "nd", "n.d.", "s/d", "tbd", "tba", "tbc",
        "unknown", "unk", "not known", "desconocido", "desconocida", "no se sabe", "pendiente",
        "por definir",
    }
)  # fmt: skip
_TOTALS = frozenset(
    {"total", "totals", "subtotal", "subtotals", "grandtotal", "sum", "suma", "totales",
     "totalgeneral"}
)  # fmt: skip


def is_unknown(cell: Cell) -> bool:
    """Whether a cell is blank, or says that nobody knows."""
    return is_blank(cell) or (isinstance(cell, str) and plain_text(cell).casefold() in _UNKNOWN)


@dataclass(frozen=True, slots=True)
class Matched:
    """A column of the sheet that means a column of the contract."""

    index: int
    column: Column
    unit: str
    heading: str

    @property
    def place(self) -> str:
        """How people find the column: its letter and heading."""
        return f"{column_letter(self.index)} {self.heading}"


@dataclass
class Sheet:
    """A sheet whose kind and columns are known."""

    raw: RawSheet
    kind: SheetKind
    heading_row: int
    columns: dict[str, Matched]
    report: SheetReport
    digest: Digest
    manner: Manner
    # Which units hold for a row where neither heading nor cell names one.
    system_of: Callable[["Row"], str] = lambda row: "US"

    def rows(self) -> Iterator["Row"]:
        """Go through the rows below the headings that hold anything of use."""
        matched = [(m.index, name) for name, m in self.columns.items()]
        headings = [plain_text(cell) for cell in self.raw.rows[self.heading_row - 1]]
        width = len(headings)
        for number, cells in enumerate(self.raw.rows[self.heading_row :], self.heading_row + 1):
            if self._is_total(number, cells):
                continue
            used = {
                name: cell
                for index, name in matched
                if index < len(cells) and self._is_used(name, cell := cells[index])
            }
            row = Row(self, number, used)
            if self.raw.broken:
                row.note_broken()
            if not used or (width == len(cells) and headings == [*map(plain_text, cells)]):
                continue
            self.report.rows += 1
            yield row

    def _is_used(self, name: str, cell: Cell) -> bool:
        """Whether a cell says anything; a mark for "not known" is told once a column."""
        if is_blank(cell):
            return False
        matched = self.columns[name]
        if not is_unknown(cell) or matched.column.can_mean(plain_text(cell)):
            return True
        self.report.remark(
            _("Column %(place)s: '%(mark)s' counts as not known.")
            % {"place": matched.place, "mark": plain_text(cell)}
        )
        return False

    def _is_total(self, number: int, cells: list[Cell]) -> bool:
        """Whether a row sums up those above it; told with its number."""
        first = next((cell for cell in cells if not is_blank(cell)), None)
        if not isinstance(first, str) or normal(plain_text(first)) not in _TOTALS:
            return False
        self.report.remark(
            _("Row %(row)d looks like a total ('%(word)s') and was left out.")
            % {"row": number, "word": plain_text(first)}
        )
        return True


@dataclass(slots=True)
class Row:
    """One row. `system` is set where the sheet itself cannot tell which units hold."""

    sheet: Sheet
    number: int
    cells: dict[str, Cell]
    system: str = ""
    is_new: bool = False
    is_left_out: bool = False
    changes: int = 0
    problems: int = 0
    _read: dict[str, object] = field(default_factory=dict)

    def has(self, name: str) -> bool:
        """Return whether the cell holds a value, and is not a lone minus sign."""
        return name in self.cells and not self.erases(name)

    def erases(self, name: str) -> bool:
        """Return whether the cell holds a lone minus sign."""
        cell = self.cells.get(name)
        return isinstance(cell, str) and cell.strip() in MINUS_SIGNS

    def text(self, name: str) -> str:
        """Return the cell as tidy text; empty where there is none."""
        return plain_text(self.cells[name]) if name in self.cells else ""

    def get(self, name: str) -> Any:
        """Return the value in storage units; None where blank, erased or unreadable."""
        if name not in self.cells:
            return None
        if name not in self._read:
            self._read[name] = self._value(name)
        return self._read[name]

    def read_as(self, name: str, value: object) -> None:
        """Override the value of a cell that is filled in."""
        if name in self.cells:
            self._read[name] = value

    def read_all(self) -> None:
        """Validate every cell, so that all problems of a row are reported at once."""
        for name in self.cells:
            self.get(name)

    def heading(self, name: str) -> str:
        """Return the heading as the file writes it; the column's name where it has none."""
        matched = self.sheet.columns.get(name)
        return matched.heading if matched else name

    def unit(self, name: str) -> str:
        """Return the unit that holds for the column in this row."""
        matched = self.sheet.columns[name]
        if not self.system:
            self.system = self.sheet.system_of(self)
        return matched.column.unit_for(matched.unit, self.system)

    def is_complete(self) -> bool:
        """Return whether all required cells can be read; each that cannot is a problem."""
        missing = [name for name in self.sheet.kind.required if not self._is_given(name)]
        if missing:
            self.read_all()
        return not missing

    def problem(self, name: str, text: str) -> None:
        """Name what is wrong in one cell, and how to mend it."""
        self.problems += 1
        matched = self.sheet.columns.get(name)
        if matched and self._waits_for_an_answer(matched.column, name):
            return
        self.sheet.report.problem(
            self.number, matched.place if matched else name, self.text(name), text
        )

    def remark(self, text: str) -> None:
        """Tell something that does not stop the load."""
        self.sheet.report.remark(_("Row %(row)d: %(text)s") % {"row": self.number, "text": text})

    def add(self, what: str) -> None:
        """Count the row as one that makes a record."""
        self.is_new = True
        report = self.sheet.report
        if len(report.adds) < 200:
            report.adds.append((self.number, what))
        self.sheet.digest.add(report.name, self.number, "+", what)

    def change(self, what: str, column: str, old: str, new: str) -> None:
        """Tell one field that becomes another."""
        self.changes += 1
        report = self.sheet.report
        if len(report.changes) < 400:
            report.changes.append(Change(self.number, what, column, old, new))
        self.sheet.digest.add(report.name, self.number, what, column, old, new)

    def close(self) -> None:
        """Count the row under what became of it."""
        report = self.sheet.report
        if self.is_new:
            report.added += 1
        elif self.changes:
            report.changed += 1
        elif not self.problems and not self.is_left_out:
            report.unchanged += 1

    def note_broken(self) -> None:
        """Name cells of this row that hold an error, or a formula that was never computed."""
        for name, matched in self.sheet.columns.items():
            what = self.sheet.raw.broken.get((self.number - 1, matched.index))
            if what is None:
                continue
            self.cells.pop(name, None)
            self.problems += 1
            self.sheet.report.problem(
                self.number,
                f"{column_letter(matched.index)}{self.number} {matched.heading}",
                "",
                _formula_text() if what == FORMULA else _error_text(),
            )

    def _is_given(self, name: str) -> bool:
        if name not in self.cells or self.erases(name):
            if self.sheet.raw.broken.get((self.number - 1, self.sheet.columns[name].index)):
                return False
            self.problem(
                name, _("This cell may not be empty. Fill it in, or take the whole row out.")
            )
            return False
        return self.get(name) is not None

    def _value(self, name: str) -> Any:
        if self.erases(name):
            return None
        matched = self.sheet.columns[name]
        try:
            return matched.column.read(self.cells[name], self.sheet.manner, self.unit(name))
        except Unreadable as refusal:
            self.problem(name, str(refusal))
            return None

    def _waits_for_an_answer(self, column: Column, name: str) -> bool:
        """What is wrong with a day that can be read two ways shows after the answer."""
        return (
            not self.sheet.manner.order
            and isinstance(column, Day | Span)
            and order_shown(self.text(name)) == "?"
        )


def _formula_text() -> str:
    return _(
        "This cell holds a formula whose result was never saved. Open the file in a spreadsheet "
        "program and save it again, or type the value."
    )


def _error_text() -> str:
    return _("This cell holds an error of its formula. Correct the formula or type the value.")
