"""What a register file may hold, by sheet and column, and empty sheets to fill in.

All of it is read off the very kinds by which files are loaded.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import IO

from django.utils.translation import gettext as _

from faults.load.services.register import KINDS
from sites.cells.services.columns import Choice, Column, Flag, Measure, Whole
from sites.cells.services.day_columns import Day, Span
from sites.load.services.kinds import SheetKind

MOST_SYNONYMS = 5
WIDEST, NARROWEST = 34, 12


@dataclass(frozen=True)
class GuideColumn:
    """One column: its heading, whether a row needs it, what is written in it, other headings."""

    heading: str
    is_needed: bool
    holds: str
    also: str


@dataclass(frozen=True)
class GuideSheet:
    """One sheet; where no row of it is loaded, why."""

    name: str
    columns: tuple[GuideColumn, ...]
    left_alone: str = ""


def guide() -> list[GuideSheet]:
    """Return every sheet that is recognised, in the order in which they are loaded."""
    return [_sheet(kind) for kind in KINDS.values()]


def write_templates(file: IO[bytes]) -> None:
    """Write a workbook with an empty sheet for each subject; what a column holds is its note."""
    # A quarter of a second, for the few who ask for a workbook.
    from openpyxl import Workbook
    from openpyxl.comments import Comment
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    book = Workbook()
    book.remove(book.worksheets[0])
    for each in guide():
        if each.left_alone:
            continue
        page = book.create_sheet(each.name)
        page.freeze_panes = "A2"
        for n, column in enumerate(each.columns, start=1):
            cell = page.cell(row=1, column=n, value=column.heading)
            cell.font = Font(bold=column.is_needed)
            cell.comment = Comment(_note(column), "Rejoin")
            width = min(max(len(column.heading) + 2, NARROWEST), WIDEST)
            page.column_dimensions[get_column_letter(n)].width = width
    book.save(file)


def _note(column: GuideColumn) -> str:
    return f"{_('Needed.')} {column.holds}" if column.is_needed else column.holds


def _sheet(kind: SheetKind) -> GuideSheet:
    columns = tuple(
        GuideColumn(one.heading, one.required, _holds(one), _also(one)) for one in kind.columns
    )
    return GuideSheet(kind.name, columns, str(kind.left_alone))


def _also(column: Column) -> str:
    others = [each for each in column.also.split("|") if each]
    return ", ".join(others[:MOST_SYNONYMS])


def _holds(column: Column) -> str:
    """What is written in a column."""
    match column:
        case Day():
            return _("A day, such as 2025-03-04.")
        case Span():
            return _("A day, a month (2025-03) or a year (2025).")
        case Whole():
            return _("A whole number.")
        case Measure():
            return _number(column)
        case Flag():
            return _("Yes or no.")
        case Choice():
            return _("One of: %s.") % ", ".join(_once((column.words or {}).values()))
    return _("Words.")


def _number(column: Measure) -> str:
    us, metric = column.dimension.us, column.dimension.metric
    if not us and not metric:
        return _("A number.")
    if us == metric:
        return _("A number; its unit is %s.") % us
    return _("A number; with no unit written, %(us)s, or %(metric)s at a metric property.") % {
        "us": us,
        "metric": metric,
    }


def _once(words: Iterable[str]) -> list[str]:
    return [word for word in dict.fromkeys(words) if word]
