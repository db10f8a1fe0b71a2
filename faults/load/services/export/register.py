"""The register as a file: a workbook, or a packed folder of lists."""

from collections.abc import Iterator
from datetime import date
from typing import IO

from faults.load.services.export.sheets import BREAKS, FAULTS, READINGS
from faults.models import Reading
from sites.cells.services.writing import Written, write_workbook, zip_blocks
from sites.export.services.listed import CLIMATE
from sites.export.services.listed import SHEETS as REGISTER_SHEETS
from sites.export.services.sheets import ExportSheet, Wanted

# A sheet ends after a million rows, and a workbook is written whole before it is sent.
MOST_READINGS_IN_A_WORKBOOK = 100_000

SHEETS: tuple[ExportSheet, ...] = (*REGISTER_SHEETS, FAULTS, BREAKS, READINGS, CLIMATE)


def sheets_for(wanted: Wanted) -> list[ExportSheet]:
    """Return the sheets that the user may see anything of, in the order of the contract."""
    return [sheet for sheet in SHEETS if wanted.may_anywhere(sheet.asks_for)]


def register_lists(wanted: Wanted) -> list[Written]:
    """Return the lists to write; their rows are read when they are written."""

    def one(sheet: ExportSheet) -> Written:
        return Written(sheet.name, sheet.headings(wanted), lambda: sheet.rows(wanted))

    return [one(sheet) for sheet in sheets_for(wanted)]


def register_zip(wanted: Wanted, *, on: date) -> Iterator[bytes]:
    """Yield the packed folder, block by block."""
    return zip_blocks(register_lists(wanted), on=on)


def register_workbook(wanted: Wanted, file: "IO[bytes]") -> None:
    """Write the workbook."""
    write_workbook(register_lists(wanted), file)


def fits_a_workbook(wanted: Wanted) -> bool:
    """Return whether a workbook is small enough to build in a request and to open."""
    places = wanted.places()
    readings = Reading.objects.filter(station__controller__property__in=places)
    return readings.count() <= MOST_READINGS_IN_A_WORKBOOK
