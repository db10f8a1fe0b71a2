"""One file of any kind: text, positions, workbook, or a packed folder of texts."""

import io
import zipfile
import zlib
from pathlib import PurePath

from sites.cells.engines.raw import RawSheet
from sites.load.engines.files.delimited import read_delimited
from sites.load.engines.files.limits import Count, Limits, Unfit
from sites.load.engines.files.positions import is_geojson, is_gpx, read_geojson, read_gpx
from sites.load.engines.files.workbooks import read_workbook

OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
ZIP = b"PK\x03\x04"
LARGEST_UNPACKED_BYTES = 600 * 1024 * 1024
LARGEST_RATIO = 200
RATIO_FROM_BYTES = 20 * 1024 * 1024


def read_bytes(filename: str, content: bytes, limits: Limits) -> list[RawSheet]:
    """Return the sheets of one file that hold anything.

    Raises:
        Unfit: it is damaged, locked, too large, or nothing of the kind. A damaged workbook may
            also raise whatever its reader meets: only a process of its own is safe from that.
    """
    count = Count(limits)
    if not content.startswith((OLE, ZIP)):
        return _plain(filename, content, count)
    if content.startswith(OLE):
        return read_workbook(filename, content, count)
    _refuse_bomb(content)
    lists = _packed_lists(content)
    if lists:
        return [_text(name, inner, count) for name, inner in lists]
    return read_workbook(filename, content, count)


def _plain(filename: str, content: bytes, count: Count) -> list[RawSheet]:
    stem = PurePath(filename).stem
    if is_geojson(content):
        return read_geojson(stem, filename, content, count)
    if is_gpx(content):
        return read_gpx(stem, filename, content, count)
    return [_text(filename, content, count)]


def _text(filename: str, content: bytes, count: Count) -> RawSheet:
    return read_delimited(PurePath(filename).stem, filename, content, count)


def _refuse_bomb(content: bytes) -> None:
    """Look at the sizes that the archive states before a single byte is unpacked.

    A file that states them falsely is stopped by the reader: zip members are cut at their
    stated size.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            members = archive.infolist()
    except (zipfile.BadZipFile, ValueError):
        raise Unfit("damaged") from None
    if any(member.flag_bits & 1 for member in members):
        raise Unfit("locked")
    unpacked = sum(member.file_size for member in members)
    swollen = unpacked > RATIO_FROM_BYTES and unpacked > LARGEST_RATIO * len(content)
    if unpacked > LARGEST_UNPACKED_BYTES or swollen:
        raise Unfit("unpacked", bytes=unpacked)


def _packed_lists(content: bytes) -> list[tuple[str, bytes]]:
    """The .csv files of a packed folder, as exports are; any other archive is none."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            names = [name for name in archive.namelist() if not name.endswith("/")]
            if not all(name.lower().endswith(".csv") for name in names):
                return []
            lists = [(PurePath(name).name, archive.read(name)) for name in names]
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, EOFError, ValueError, OSError):
        raise Unfit("damaged") from None
    for _name, inner in lists:
        # A folder inside a folder could hold itself, and no end would be found.
        if inner.startswith((ZIP, OLE)):
            raise Unfit("damaged")
        if not inner.strip():
            raise Unfit("empty")
    return lists
