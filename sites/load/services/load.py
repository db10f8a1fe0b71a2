"""What planners share while they go through the sheets of a load, and the kinds they plan."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Protocol, Self, TypeVar

from django.db.models import Model
from django.utils.translation import gettext as _

from sites.cells.engines.days import Window, adds_nothing
from sites.cells.engines.numbers import tidy
from sites.load.services.book import Book, K, M, Shelf, named, numbered
from sites.load.services.kinds import SheetKind
from sites.load.services.matching import rename, tell_repeated
from sites.load.services.recognise import Answers
from sites.load.services.refs import BroughtRefs, ref_of
from sites.load.services.rows import Row, Sheet
from sites.load.services.work import Work
from sites.models import Controller, Property, Station
from sites.runs.services import Progress

N = TypeVar("N", bound="Notes")
T = TypeVar("T")
SAY_EVERY_ROWS = 1000


class Notes:
    """What the planners of one subject remember for the rest of a load.

    Each subject has a subclass of its own, in the module that writes it; `Load.notes` hands out
    the one of the load.
    """

    @classmethod
    def begin(cls, load: "Load") -> Self:
        """Return the notes of a load that has none of them yet."""
        return cls()


class _OfProperty(Protocol):
    @property
    def property(self) -> Property: ...


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
    _notes: dict[type[Notes], Notes] = field(default_factory=dict, init=False)

    def notes(self, kind: type[N]) -> N:
        """Return the notes of one subject, made when they are first needed."""
        found = self._notes.get(kind)
        if not isinstance(found, kind):
            found = self._notes[kind] = kind.begin(self)
        return found

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
        found = name and self.book.controllers.find(named(place, name))
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
        found = self.book.stations.find(numbered(controller, number))
        if found is None:
            row.problem(
                "station number",
                _("Controller %(name)s has no such station. Correct the number, or add it.")
                % {"name": controller.name},
            )
        return found

    def is_elsewhere(self, row: Row, record: _OfProperty | None, place: Property) -> bool:
        """Tell a `ref` that belongs to a record of another property; False where all is well."""
        if record is None or record.property is place:
            return False
        row.problem("ref", _("This ref belongs to another property. A file cannot move it."))
        return True

    def station_named(self, place: Property, text: str) -> Station | None:
        """Return the station written as "controller:number"."""
        name, _colon, number = text.rpartition(":")
        controller = self.book.controllers.find(named(place, name))
        if controller is None or not number.strip().isdigit():
            return None
        return self.book.stations.find(numbered(controller, int(number)))

    def put(
        self, row: Row, record: Model, name: str, value: object, *, what: str, to: str = ""
    ) -> None:
        """Set the attribute of one column; on an old record, tell what becomes of it."""
        column = row.sheet.columns[name].column
        attribute = to or column.attribute
        old = getattr(record, attribute)
        if column.same(old, value):
            return
        if record.pk is not None:
            unit = row.unit(name)
            new = "" if row.erases(name) else tidy(row.text(name))
            row.change(what, row.heading(name), column.show(old, unit), new)
        self.work.change(record, attribute, value)

    def refer(
        self, row: Row, record: Model, name: str, new: Model | None, *, what: str, to: str = ""
    ) -> None:
        """Let a record refer to the one that a column names; on an old record, tell it."""
        attribute = to or name.replace(" ", "_")
        old = getattr(record, attribute)
        if old == new:
            return
        if record.pk is not None:
            row.change(what, row.heading(name), str(old or ""), str(new or ""))
        self.work.change(record, attribute, new)

    def put_window(
        self, row: Row, record: Model, name: str, given: Window | None, *, what: str
    ) -> None:
        """Set a window of days, or none; a year never blurs a day that is known better."""
        column = row.sheet.columns[name].column
        ends = [f"{getattr(column, 'ends', '')}_{end}" for end in ("earliest", "latest")]
        old = getattr(record, ends[0]), getattr(record, ends[1])
        if old == (None, None) if given is None else adds_nothing(old, given):
            return
        if record.pk is not None:
            row.change(what, row.heading(name), column.show(old, ""), row.text(name))
        for end, day in zip(ends, given or (None, None), strict=True):
            self.work.change(record, end, day)

    def copy(self, row: Row, record: Model, what: str, *, only: Sequence[str] = ()) -> None:
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
        shelf: Shelf[M, K],
        key_of: Callable[[Row], K | None],
        rows: Iterable[Row] | None = None,
    ) -> Iterator[tuple[Row, M | None, K]]:
        """Go through the rows with the record that each means, by `ref` or by natural key.

        Rows whose key cannot be read, whose `ref` is unknown beside a known key, or that repeat
        another row are problems and left out. Records that a `ref` renames give up their old
        keys first, so that two of them may swap.
        """
        keyed: list[tuple[Row, K | None, M | None]] = []
        for row in self.rows_unclosed(sheet) if rows is None else rows:
            key = key_of(row) if row.is_complete() else None
            keyed.append((row, key, shelf.by_ref.get(ref_of(row)) if key is not None else None))
        rename(keyed, shelf)
        brought = BroughtRefs(sheet, (ref_of(row) for row, _key, known in keyed if not known))
        seen: dict[K, Row] = {}
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


Planner = Callable[[Load, Sheet], None]


@dataclass(frozen=True)
class PlannedKind(SheetKind):
    """A kind whose rows a function plans; sheets of any other kind are left alone."""

    plan: Planner = field(kw_only=True)
