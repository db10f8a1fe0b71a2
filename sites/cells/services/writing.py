"""Rows as lines, as a packed folder of lists, or as a workbook, written as they come."""

import csv
import io
import zipfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import IO, TYPE_CHECKING, Any

from sites.cells.engines.defused import defuse
from sites.cells.services.shown import Cell, number_text

if TYPE_CHECKING:
    from openpyxl import Workbook

# Without it spreadsheet programs take the letters for those of another alphabet.
BYTE_ORDER_MARK = "\ufeff"
BLOCK_BYTES = 64 * 1024


@dataclass(frozen=True)
class Written:
    """One list: its name, its headings, and its rows, read lazily."""

    name: str
    headings: Sequence[str]
    rows: Callable[[], Iterable[Sequence[Cell]]]


def csv_lines(table: Written) -> Iterator[str]:
    """Yield the lines of one list."""
    line = io.StringIO()
    writer = csv.writer(line)
    yield BYTE_ORDER_MARK
    writer.writerow(table.headings)
    for row in table.rows():
        writer.writerow([_text(cell) for cell in row])
        if line.tell() > BLOCK_BYTES:
            yield _taken(line)
    yield _taken(line)


def zip_blocks(tables: Iterable[Written], *, on: date) -> Iterator[bytes]:
    """Yield a packed folder, one list a file, block by block: nothing is held as a whole."""
    pipe = _Pipe()
    with zipfile.ZipFile(pipe, "w", zipfile.ZIP_DEFLATED) as archive:
        for table in tables:
            member = zipfile.ZipInfo(f"{table.name}.csv", (on.year, on.month, on.day, 0, 0, 0))
            member.compress_type = zipfile.ZIP_DEFLATED
            with archive.open(member, "w", force_zip64=True) as file:
                for lines in csv_lines(table):
                    file.write(lines.encode())
                    yield pipe.taken()
    yield pipe.taken()


def write_workbook(tables: Iterable[Written], file: "IO[bytes]") -> None:
    """Write a workbook with a sheet for each list."""
    from openpyxl import Workbook  # a quarter of a second, for the few who ask for a workbook

    book = Workbook(write_only=True)
    for table in tables:
        write_sheet(book, table)
    book.save(file)


def write_sheet(book: "Workbook", table: Written) -> None:
    """Write one list as a sheet of a workbook that is only written."""
    sheet = book.create_sheet(table.name)
    sheet.freeze_panes = "A2"
    sheet.append(list(table.headings))
    for row in table.rows():
        sheet.append([_safe(sheet, cell) for cell in row])


def _taken(line: io.StringIO) -> str:
    text = line.getvalue()
    line.seek(0)
    line.truncate()
    return text


def _text(cell: Cell) -> str:
    if isinstance(cell, str):
        return defuse(cell)
    if isinstance(cell, float):
        return number_text(cell)
    return cell.isoformat() if isinstance(cell, date) else str(cell)


def _safe(sheet: Any, cell: Cell) -> Any:
    if isinstance(cell, str):
        return defuse(cell) or None
    if isinstance(cell, float) and float(f"{cell:.16g}") != cell:
        return _all_digits(sheet, cell)
    return cell


def _all_digits(sheet: Any, value: float) -> Any:
    """The writer of workbooks cuts the last digit of a number, unless it gets it as text."""
    from openpyxl.cell import WriteOnlyCell

    cell = WriteOnlyCell(sheet, value=value)
    cell._value = number_text(value)  # type: ignore[attr-defined]
    return cell


class _Pipe(io.RawIOBase):
    """Takes what the archive writes, until it is taken away."""

    def __init__(self) -> None:
        self._blocks: list[bytes] = []

    def writable(self) -> bool:
        """It is written to."""
        return True

    def write(self, block: bytes) -> int:  # type: ignore[override]
        """Keep a block."""
        self._blocks.append(bytes(block))
        return len(block)

    def taken(self) -> bytes:
        """Return what was written since the last time."""
        whole, self._blocks = b"".join(self._blocks), []
        return whole
