"""What the reader of cells does not tell about an .xlsx: hidden rows, formulas without result."""

import posixpath
import re
import zipfile
from dataclasses import dataclass, field
from typing import IO
from xml.etree.ElementTree import Element

from defusedxml.ElementTree import iterparse, parse

from sites.cells.engines.raw import column_index

_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_TELLING = (b"<f>", b"<f ", b'hidden="1"', b'hidden="true"', b't="e"')
_CELL = re.compile(r"([A-Z]+)(\d+)")
CHUNK = 1 << 20

FORMULA, ERROR = "formula", "error"


@dataclass
class Extras:
    """Row numbers that are hidden, and (row, column) from 0 of cells that hold no value."""

    hidden: set[int] = field(default_factory=set)
    broken: dict[tuple[int, int], str] = field(default_factory=dict)


def read_extras(archive: zipfile.ZipFile) -> dict[str, Extras]:
    """Return the extras of each sheet by its name; empty for a file that is no .xlsx."""
    if "xl/workbook.xml" not in archive.namelist():
        return {}
    found = {}
    for name, path in _paths(archive).items():
        if path in archive.namelist() and _is_telling(archive, path):
            with archive.open(path) as stream:
                found[name] = _read(stream)
    return found


def _paths(archive: zipfile.ZipFile) -> dict[str, str]:
    with archive.open("xl/_rels/workbook.xml.rels") as stream:
        targets = {each.get("Id"): each.get("Target") for each in parse(stream).getroot()}
    with archive.open("xl/workbook.xml") as stream:
        sheets = parse(stream).getroot().iter(f"{_MAIN}sheet")
    return {
        sheet.get("name"): posixpath.normpath(
            posixpath.join("/xl", targets.get(sheet.get(_RELATION)) or "")
        ).lstrip("/")
        for sheet in sheets
    }


def _is_telling(archive: zipfile.ZipFile, path: str) -> bool:
    """Most sheets have nothing to tell: a look for a few words spares reading them as XML."""
    rest = b""
    with archive.open(path) as stream:
        while chunk := stream.read(CHUNK):
            window = rest + chunk
            if any(word in window for word in _TELLING):
                return True
            rest = window[-16:]
    return False


def _read(stream: IO[bytes]) -> Extras:
    extras, row_number = Extras(), 0
    for event, element in iterparse(stream, events=("start", "end")):
        if element.tag == f"{_MAIN}row":
            if event == "start":
                row_number = int(element.get("r") or row_number + 1)
                if element.get("hidden") in ("1", "true"):
                    extras.hidden.add(row_number)
            else:
                element.clear()
        elif event == "end" and element.tag == f"{_MAIN}c":
            _look_at_cell(element, extras)
    return extras


def _look_at_cell(element: Element, extras: Extras) -> None:
    kind = element.get("t")
    value = element.find(f"{_MAIN}v")
    has_formula = element.find(f"{_MAIN}f") is not None
    no_result = (value is None or not value.text) and kind != "str"
    if kind == "e" or (has_formula and no_result):
        at = _CELL.fullmatch(element.get("r") or "")
        if at:
            place = int(at[2]) - 1, column_index(at[1])
            extras.broken[place] = ERROR if kind == "e" else FORMULA
