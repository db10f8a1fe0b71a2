"""What is turned away before it is opened, and the words for each reason to refuse a file."""

from collections.abc import Mapping

from django.conf import settings
from django.utils.translation import gettext as _

from sites.cells.services.refusals import UnableToRead
from sites.load.engines.files.reading import OLE

_LOCKED = "EncryptedPackage".encode("utf-16-le")


def _other_kinds() -> tuple[tuple[bytes, str], ...]:
    return (
        (b"%PDF", _("a PDF")),
        (b"\x89PNG", _("a picture")),
        (b"\xff\xd8\xff", _("a picture")),
        (b"GIF8", _("a picture")),
        (b"II*\x00", _("a picture")),
        (b"MM\x00*", _("a picture")),
        (b"{\\rtf", _("a text document")),
        (b"<!DOCTYPE", _("a web page")),
        (b"<!doctype", _("a web page")),
        (b"<html", _("a web page")),
        (b"\x1f\x8b", _("a packed file")),
        (b"Rar!", _("a packed file")),
        (b"7z\xbc\xaf", _("a packed file")),
        (b"SQLite format 3", _("a database")),
        (b"\x7fELF", _("a program")),
        (b"MZ", _("a program")),
    )


def refuse_unfit(content: bytes) -> None:
    """Raise `UnableToRead` for bytes that cannot be, or must not be, opened as a register."""
    if not content.strip(b"\xef\xbb\xbf\xff\xfe \t\r\n\x00"):
        raise UnableToRead(in_words("empty", {}))
    _refuse_large(len(content))
    for start, kind in _other_kinds():
        if content.lstrip()[:16].startswith(start):
            raise UnableToRead(
                _(
                    "This is %(kind)s, not a spreadsheet. Save the list as .xlsx, .ods or .csv "
                    "and bring that file."
                )
                % {"kind": kind}
            )
    if content.startswith(OLE) and _LOCKED in content:
        raise UnableToRead(in_words("locked", {}))


def _refuse_large(size: int) -> None:
    if size > settings.LARGEST_REGISTER_FILE_BYTES:
        raise UnableToRead(
            _(
                "The file has %(size).0f MB; at most %(largest).0f MB are read. Take out pictures "
                "and sheets that are no lists, or bring it in parts."
            )
            % {"size": size / 2**20, "largest": settings.LARGEST_REGISTER_FILE_BYTES / 2**20}
        )


def in_words(reason: str, facts: Mapping[str, int | str]) -> str:
    """Return what an `Unfit` of this reason means and what to do about it."""
    size = {"size": int(facts.get("bytes", 0)) / 2**20}
    return _reasons()[reason] % {**facts, **size}


def _reasons() -> dict[str, str]:
    return {
        "empty": _("The file is empty. Bring the one that holds the list."),
        "damaged": _(
            "The file is damaged, or is no spreadsheet. Open it in a spreadsheet program, save it "
            "again as .xlsx and bring that file."
        ),
        "locked": _("The file is locked with a password. Save it without one and bring that file."),
        "unpacked": _(
            "The file would unpack to %(size).0f MB and was not opened. Copy the list into a "
            "new workbook, without formats, and bring that."
        ),
        "nothing": _(
            "The file holds no position of a point. Export waypoints, or points with their "
            "names, and bring that file."
        ),
        "no text": _(
            "This is neither a spreadsheet nor a text file with one row a line. Save the list as "
            ".xlsx, .ods or .csv and bring that file."
        ),
        "unclosed": _(
            "A quotation mark that is opened near row %(row)d is never closed. Close it, or take "
            "it out, and bring the file again."
        ),
        "long cell": _(
            "A cell of row %(row)d holds more than %(most)d characters. Shorten it, and bring the "
            "file again."
        ),
        "wide row": _(
            "Row %(row)d has more cells than any list. Check that each row of the list is a line "
            "of the file, and bring the file again."
        ),
        "far cell": _(
            "A sheet reaches as far as cell %(cell)s. Delete what stands far from the list, or "
            "copy the list into a new workbook, and bring that."
        ),
        "rows": _("The file has more than %(most)d rows. Bring it in parts."),
        "cells": _("The file has more than %(most)d cells. Bring it in parts."),
        "too much": _(
            "Reading the file takes more memory or time than any list needs. Copy the list into a "
            "new workbook, without formats, or bring it in parts."
        ),
    }
