"""What an export is made of: whose properties, which sheets, in which order their rows."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice

from sites.cells.services.columns import Column
from sites.cells.services.shown import Cell, held_by
from sites.kernel.access import actions_anywhere, may, may_everywhere, properties_where
from sites.kernel.engines.roles import Action
from sites.load.services.kinds import SheetKind
from sites.models import Property, User

PROPERTIES_AT_ONCE = 25

# The records from which one row is written: each column finds its value in one of them.
Records = Sequence[object]
Gather = Callable[["Wanted", Sequence[Property]], Iterable[Records]]


@dataclass(frozen=True)
class Wanted:
    """Whose properties to write; no user = the command line, which may see all."""

    user: User | None = None
    code: str = ""

    def places(self) -> list[Property]:
        """Return the properties in care, by code in an order that is the same in any database."""
        rows = Property.objects.in_care().select_related("client")
        if self.user is not None:
            rows = rows.filter(properties_where(self.user, Action.EXPORT))
            rows = rows.filter(properties_where(self.user, Action.SEE_REGISTER))
        if self.code:
            rows = rows.filter(code__iexact=self.code)
        return sorted(rows, key=lambda place: place.code)

    def may(self, action: Action, place: Property) -> bool:
        """Return whether the rows that ask for `action` may be written for this property."""
        return self.user is None or may(self.user, action, place)

    @property
    def is_everything(self) -> bool:
        """Whether nothing is left out: then what belongs to no property is written too."""
        if self.code:
            return False
        return self.user is None or may_everywhere(self.user, Action.SEE_REGISTER)

    def may_anywhere(self, action: Action) -> bool:
        """Return whether it is worth to write what asks for `action` at all."""
        return self.user is None or action in actions_anywhere(self.user)


@dataclass(frozen=True)
class ExportSheet:
    """One sheet: its kind as the loader knows it, and what gathers its rows.

    `order` names the columns, or else paths, by which the rows of a property are sorted, so that
    two exports of the same register are the same. `asks_for` is the action without which there
    is no sheet. `kept_from` maps columns to the action without which they are left out.
    """

    kind: SheetKind
    gather: Gather
    order: tuple[str, ...]
    asks_for: Action = Action.SEE_REGISTER
    kept_from: dict[str, Action] = field(default_factory=dict)
    # Rows that belong to no property; they come first.
    shared: Callable[["Wanted"], Iterable[Records]] | None = None

    @property
    def name(self) -> str:
        """The sheet's name in a workbook, and the file's in a folder."""
        return self.kind.name

    def columns(self, wanted: Wanted) -> list[Column]:
        """Return the columns that this user may see."""
        return [
            column
            for column in self.kind.columns
            if self.kept_from.get(column.field) is None
            or wanted.may_anywhere(self.kept_from[column.field])
        ]

    def headings(self, wanted: Wanted) -> list[str]:
        """Return the heading of each column."""
        return [column.heading for column in self.columns(wanted)]

    def rows(self, wanted: Wanted) -> Iterator[list[Cell]]:
        """Yield the rows of all properties; only those of a few are held at a time."""
        columns = self.columns(wanted)
        for records in self._rows(wanted):
            yield [_cell(column, column.stored(records)) for column in columns]

    def _rows(self, wanted: Wanted) -> Iterator[Records]:
        if self.shared is not None:
            yield from sorted(self.shared(wanted), key=self._sorting)
        places = iter(wanted.places())
        while chunk := list(islice(places, PROPERTIES_AT_ONCE)):
            seen = [place for place in chunk if wanted.may(self.asks_for, place)]
            yield from sorted(self.gather(wanted, seen), key=self._sorting)

    def _sorting(self, records: Records) -> list[object]:
        columns = self.kind.by_field
        names = ("property code", *self.order)
        return [
            _comparable(
                columns[name].stored(records) if name in columns else held_by(records, name)
            )
            for name in names
        ]


def _comparable(value: object) -> tuple[bool, object]:
    """Empty first; values of one field are all of one type."""
    return value not in (None, ""), value if value is not None else ""


def _cell(column: Column, value: object) -> Cell:
    """Nothing is an empty cell."""
    return "" if value is None or value == "" else column.cell(value)
