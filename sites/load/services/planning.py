"""Plan a load: every sheet in turn, against what exists and what the file itself brings."""

import hashlib
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, TypeVar

from django.db.models import Model
from django.utils.translation import gettext as _

from sites.cells.engines.numbers import tidy
from sites.cells.engines.plain_words import same_name
from sites.cells.engines.raw import RawSheet
from sites.cells.services.columns import plain_text
from sites.load.services.book import Book, Key, Scope, Shelf
from sites.load.services.files import RegisterFile
from sites.load.services.kinds import Kinds
from sites.load.services.manners import settle_manner
from sites.load.services.matching import rename, tell_repeated
from sites.load.services.preview import Digest, Preview
from sites.load.services.recognise import Answers, recognise, tell_columns, unknown_report
from sites.load.services.refs import BroughtRefs, ref_of
from sites.load.services.rows import Row, Sheet
from sites.load.services.work import Work
from sites.models import Controller, Property, Station
from sites.runs.services import Progress

M = TypeVar("M", bound=Model)
T = TypeVar("T")
SAY_EVERY_ROWS = 1000


@dataclass
class Load:
    """Everything that planners share while they go through the sheets."""

    today: date
    book: Book
    answers: Answers
    progress: Progress
    filename: str
    work: Work = field(default_factory=Work)
    remarks: list[str] = field(default_factory=list)
    # Where planners of one kind keep what those of another need, by name.
    notes: dict[str, Any] = field(default_factory=dict)

    def property_of(self, row: Row, name: str = "property code") -> Property | None:
        """Return the row's property; one that is not there, or not the user's, is a problem."""
        found = self.book.property_named(row.text(name))
        if found is None:
            row.problem(
                name,
                _("There is no such property among yours. Correct the code, or add the property."),
            )
            return None
        return found

    def system_of(self, row: Row) -> str:
        """Return the units that hold for a row: those answered, else those of its property."""
        place = self.book.property_named(row.text("property code") or row.text("property"))
        return self.answers.units or (place.units if place else "US")

    def controller_of(self, row: Row, place: Property) -> Controller | None:
        """Return the row's controller; one that is not there is a problem."""
        name = row.get("controller")
        found = name and self.book.controllers.find((id(place), same_name(name)))
        if found and found.retired_on is not None:
            row.problem(
                "controller",
                _("Controller %(name)s was retired on %(day)s. Export a new file, or correct it.")
                % {"name": found.name, "day": found.retired_on.isoformat()},
            )
            return None
        if not found:
            row.problem(
                "controller",
                _("%(place)s has no such controller. Correct the name, or add the controller.")
                % {"place": place.code},
            )
        return found or None

    def station_of(self, row: Row) -> Station | None:
        """Return the row's station; one that is not there is a problem."""
        place = self.property_of(row)
        controller = self.controller_of(row, place) if place else None
        number = row.get("station number")
        if controller is None or number is None:
            return None
        found = self.book.stations.find((id(controller), number))
        if found is None:
            row.problem(
                "station number",
                _("Controller %(name)s has no such station. Correct the number, or add it.")
                % {"name": controller.name},
            )
        return found

    def is_elsewhere(self, row: Row, record: Any, place: Property) -> bool:
        """Tell a `ref` that belongs to a record of another property; False where all is well."""
        if record is None or record.property is place:
            return False
        row.problem("ref", _("This ref belongs to another property. A file cannot move it."))
        return True

    def station_named(self, place: Property, text: str) -> Station | None:
        """Return the station written as "controller:number"."""
        name, _colon, number = text.rpartition(":")
        controller = self.book.controllers.find((id(place), same_name(name)))
        if controller is None or not number.strip().isdigit():
            return None
        return self.book.stations.find((id(controller), int(number)))

    def put(self, row: Row, record: Any, name: str, value: Any, *, what: str, to: str = "") -> None:
        """Set the attribute of one column; on an old record, tell what becomes of it."""
        column = row.sheet.columns[name].column
        attribute = to or column.attribute
        old = getattr(record, attribute)
        if column.same(old, value):
            return
        if record.pk is not None:
            unit = row.unit(name)
            new = "" if row.erases(name) else tidy(row.text(name))
            row.change(what, row.sheet.columns[name].heading, column.show(old, unit), new)
        self.work.change(record, attribute, value)

    def copy(self, row: Row, record: Any, what: str, *, only: Sequence[str] = ()) -> None:
        """Copy every given cell whose column names an attribute; blanks never erase."""
        columns = row.sheet.columns
        for name in only or row.cells:
            if name not in row.cells:
                continue
            column = columns[name].column
            if not column.attribute or not hasattr(record, column.attribute):
                continue
            if row.erases(name):
                self.put(row, record, name, column.empty, what=what)
            elif (value := row.get(name)) is not None:
                self.put(row, record, name, value, what=what)

    def rows(self, sheet: Sheet) -> Iterator[Row]:
        """Go through the rows; each is counted when it is done with."""
        for row in self.rows_unclosed(sheet):
            yield row
            row.close()

    def rows_unclosed(self, sheet: Sheet) -> Iterator[Row]:
        """Go through the rows, telling how far it is; the caller closes each."""
        for row in sheet.rows():
            if row.number % SAY_EVERY_ROWS == 0:
                self.tell(sheet, row.number, len(sheet.raw.rows))
            yield row

    def telling(self, sheet: Sheet, rows: Sequence[T]) -> Iterator[T]:
        """Go through what was read already, telling how far it is."""
        for number, each in enumerate(rows):
            if number % SAY_EVERY_ROWS == 0:
                name = {"sheet": sheet.report.name}
                self.progress.say(_("Comparing %(sheet)s") % name, number, len(rows))
            yield each

    def tell(self, sheet: Sheet, done: int, total: int) -> None:
        """Tell how far a sheet is read."""
        self.progress.say(_("Reading %(sheet)s") % {"sheet": sheet.report.name}, done, total)

    def matched(
        self,
        sheet: Sheet,
        shelf: Shelf[M],
        key_of: Callable[[Row], Key | None],
        rows: Iterable[Row] | None = None,
    ) -> Iterator[tuple[Row, M | None, Key]]:
        """Go through the rows with the record that each means, by `ref` or by natural key.

        Rows whose key cannot be read, whose `ref` is unknown beside a known key, or that repeat
        another row are problems and left out. Records that a `ref` renames give up their old
        keys first, so that two of them may swap.
        """
        keyed: list[tuple[Row, Key | None, M | None]] = []
        for row in self.rows_unclosed(sheet) if rows is None else rows:
            key = key_of(row) if row.is_complete() else None
            keyed.append((row, key, shelf.by_ref.get(ref_of(row)) if key is not None else None))
        rename(keyed, shelf)
        brought = BroughtRefs(sheet, (ref_of(row) for row, _key, known in keyed if not known))
        seen: dict[Key, Row] = {}
        for row, key, record in self.telling(sheet, keyed):
            if key is not None:
                known = record or shelf.find(key)
                if first := seen.get(key):
                    tell_repeated(row, first)
                elif record or not ref_of(row) or brought.may_be_new(row, known):
                    seen[key] = row
                    yield row, known, key
                    brought.keep(row, shelf, shelf.find(key))
            row.close()
        brought.tell()


def plan_load(
    sheets: list[RawSheet],
    *,
    files: Sequence[RegisterFile],
    kinds: Kinds,
    answers: Answers,
    scope: Scope,
    today: date,
    progress: Progress,
) -> tuple[Load, Preview]:
    """Plan what the sheets would write, and the preview of it. Writes nothing."""
    digest = Digest()
    digest.add(answers, *(hashlib.sha256(file.content).hexdigest() for file in files))
    filename = ", ".join(file.filename for file in files)[:200]
    preview = Preview(filename)
    known = _known_sheets(sheets, kinds, answers, digest, preview)
    progress.say(_("Looking at the days and numbers"))
    manner, preview.questions = settle_manner(known, answers=answers, today=today)
    book = Book(scope, _names_of_properties(known), progress)
    load = Load(today, book, answers, progress, filename)
    for kind in kinds.values():
        for sheet in (each for each in known if each.kind is kind):
            sheet.manner, sheet.system_of = manner, load.system_of
            _plan_sheet(load, sheet)
    for report in preview.sheets:
        report.problems.sort(key=lambda problem: problem.row or 0)
    preview.remarks += load.remarks
    preview.made = load.work.counts()
    digest.add(*((p.sheet, p.row, p.text) for p in preview.problems))
    preview.digest = digest.done()
    return load, preview


def _plan_sheet(load: Load, sheet: Sheet) -> None:
    tell_columns(sheet)
    if sheet.kind.plan is None:
        sheet.report.remark(str(sheet.kind.left_alone))
        return
    if sheet.kind.required <= set(sheet.columns):
        load.tell(sheet, 0, len(sheet.raw.rows))
        sheet.kind.plan(load, sheet)


def _known_sheets(
    sheets: list[RawSheet], kinds: Kinds, answers: Answers, digest: Digest, preview: Preview
) -> list[Sheet]:
    known = []
    for raw in sheets:
        sheet = recognise(raw, kinds, answers, digest)
        if sheet is not None:
            known.append(sheet)
            preview.sheets.append(sheet.report)
            continue
        report = unknown_report(raw)
        preview.sheets.append(report)
        report.remark(_("This sheet was left alone: it is none of the register's lists."))
    if not known:
        preview.sheets[0].problem(
            None,
            "",
            "",
            _(
                "No sheet was recognised: no row holds the headings of a register. Say what "
                "each sheet is, or name its columns as the file guide does."
            ),
        )
    return known


def _names_of_properties(sheets: list[Sheet]) -> set[str]:
    """Every text that can name a property: only their records are read."""
    names = {same_name(sheet.raw.name) for sheet in sheets}
    for sheet in sheets:
        wanted = [
            matched.index
            for name, matched in sheet.columns.items()
            if name in ("property code", "property")
            or (sheet.kind.name, name) == ("properties", "ref")
        ]
        for row in sheet.raw.rows[sheet.heading_row :]:
            for index in wanted:
                if index < len(row):
                    names.add(same_name(plain_text(row[index])))
    names.discard("")
    return names
