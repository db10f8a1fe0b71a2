"""Tests of loading. Files are built in code, so that each test shows all of its input."""

import io
from collections.abc import Sequence
from datetime import date
from typing import Any

from openpyxl import Workbook

from faults.load.services.register import check_register, load_register
from sites.load.services.files import RegisterFile
from sites.load.services.preview import Preview

TODAY = date(2025, 6, 15)
BASE = {
    "properties": "property code,property,client,units\nElm,Elm park,Elm Trust,US\n",
    "controllers": "property code,controller,central\nElm,A,linked\n",
    "stations": "property code,controller,station number,station name\n"
    "Elm,A,1,Lawn\nElm,A,2,Beds\n",
}

GROUND = {
    "points": "property code,point,kind\nElm,A,controller\nElm,S1,splice box\nElm,V1,valve box\n"
    "Elm,V2,valve box\n",
    "legs": "property code,leg,from point,to point,length\nElm,L1,A,S1,100\nElm,L2,S1,V1,80\n"
    "Elm,L3,S1,V2,60\n",
    "wires": "property code,wire,kind,controller,terminal,laid,legs,spliced at\n"
    "Elm,A-1 hot,hot,A,1,2009,L2;L1,\nElm,A common,common,A,C,,L1;L2;L3,S1\n",
    "stations": "property code,controller,station number,valve point,wire,depends on\n"
    "Elm,A,1,V1,A-1 hot,A:2\nElm,A,2,V2,,\n",
}


def sheet(name: str, text: str, encoding: str = "utf-8", suffix: str = "csv") -> RegisterFile:
    """Return a text file; lines may be indented."""
    lines = "\n".join(line.strip(" ") for line in text.strip("\n").splitlines())
    return RegisterFile(f"{name}.{suffix}", lines.encode(encoding))


def base(**more: str) -> list[RegisterFile]:
    """Return a tiny register, and the sheets given beside it or instead."""
    return [sheet(name.replace("_", " "), text) for name, text in {**BASE, **more}.items()]


def workbook(**sheets: Sequence[Sequence[Any]]) -> Workbook:
    """Return a workbook of these sheets, by rows."""
    made = Workbook()
    made.remove(made.active)
    for name, rows in sheets.items():
        page = made.create_sheet(name.replace("_", " "))
        for row in rows:
            page.append(list(row))
    return made


def saved(made: Workbook, filename: str = "book.xlsx") -> RegisterFile:
    """Return the workbook as a file."""
    buffer = io.BytesIO()
    made.save(buffer)
    return RegisterFile(filename, buffer.getvalue())


def check(*files: RegisterFile, **answers: Any) -> Preview:
    """Look at the files."""
    by = answers.pop("by_user_id", None)
    return check_register(files=files, answers=answers, today=TODAY, by_user_id=by)


def load(*files: RegisterFile, **answers: Any) -> Preview:
    """Load the files."""
    by = answers.pop("by_user_id", None)
    return load_register(files=files, answers=answers, today=TODAY, by_user_id=by)


def counts(preview: Preview) -> dict[str, tuple[int, int, int]]:
    """Return (added, changed, unchanged) of each sheet."""
    return {each.name: (each.added, each.changed, each.unchanged) for each in preview.sheets}


def told(preview: Preview) -> list[tuple[str, int | None, str, str]]:
    """Return where each problem is: sheet, row, column and value."""
    return [(each.sheet, each.row, each.column, each.value) for each in preview.problems]


def words(preview: Preview) -> str:
    """Return the texts of all problems and remarks."""
    remarks = [remark for each in preview.sheets for remark in each.remarks]
    return "\n".join([*(each.text for each in preview.problems), *remarks, *preview.remarks])


def changes(preview: Preview) -> list[tuple[str, str, str]]:
    """Return (column, old, new) of each change."""
    return [(c.column, c.old, c.new) for each in preview.sheets for c in each.changes]
