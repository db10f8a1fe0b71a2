"""Bytes of a file in, raw sheets out, or a refusal in words."""

import io
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import PurePath

from sites.services.load.delimited import read_delimited
from sites.services.load.raw import RawSheet
from sites.services.load.refusals import UnableToRead
from sites.services.load.refuse import OLE, ZIP, damaged, refuse_unfit
from sites.services.load.workbooks import read_workbook


@dataclass(frozen=True)
class RegisterFile:
    """One uploaded file, under its own name."""

    filename: str
    content: bytes


def read_files(files: list[RegisterFile]) -> list[RawSheet]:
    """Return all sheets of all files, each under a name of its own.

    Raises:
        UnableToRead: a file cannot be read; the message names it.
    """
    sheets = [sheet for file in files for sheet in _read_named(file)]
    seen: dict[str, int] = {}
    for sheet in sheets:
        seen[sheet.name] = seen.get(sheet.name, 0) + 1
    for sheet in sheets:
        if seen[sheet.name] > 1:
            sheet.name = f"{sheet.name} ({sheet.filename})"
    return sheets


def read_file(file: RegisterFile) -> list[RawSheet]:
    """Return the sheets of one file; raises `UnableToRead`."""
    refuse_unfit(file.content)
    if lists := _packed_lists(file.content):
        return [sheet for each in lists for sheet in read_file(each)]
    if file.content.startswith((OLE, ZIP)):
        return read_workbook(filename=file.filename, content=file.content)
    stem = PurePath(file.filename).stem
    return [read_delimited(name=stem, filename=file.filename, content=file.content)]


def _packed_lists(content: bytes) -> list[RegisterFile]:
    """The .csv files of a packed folder, as exports are; any other archive is none."""
    if not content.startswith(ZIP):
        return []
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            names = [name for name in archive.namelist() if not name.endswith("/")]
            if not all(name.lower().endswith(".csv") for name in names):
                return []
            lists = [RegisterFile(PurePath(name).name, archive.read(name)) for name in names]
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, EOFError):
        raise UnableToRead(damaged()) from None
    # A folder inside a folder could hold itself, and no end would be found.
    return [] if any(each.content.startswith(ZIP) for each in lists) else lists


def _read_named(file: RegisterFile) -> list[RawSheet]:
    try:
        return read_file(file)
    except UnableToRead as refusal:
        raise UnableToRead(f"{file.filename}: {refusal}") from None
