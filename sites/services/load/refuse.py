"""What is turned away before it is opened: other kinds of files, locked ones, bombs."""

import io
import zipfile

from django.conf import settings
from django.utils.translation import gettext as _

from sites.services.load.refusals import UnableToRead

OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
ZIP = b"PK\x03\x04"
LARGEST_UNPACKED_BYTES = 600 * 1024 * 1024
LARGEST_RATIO = 200
RATIO_FROM_BYTES = 20 * 1024 * 1024
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
        raise UnableToRead(_("The file is empty. Bring the one that holds the list."))
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
        raise UnableToRead(_locked())
    if content.startswith(ZIP):
        _refuse_bomb(content)


def _refuse_large(size: int) -> None:
    if size > settings.LARGEST_REGISTER_FILE_BYTES:
        raise UnableToRead(
            _(
                "The file has %(size).0f MB; at most %(largest).0f MB are read. Take out pictures "
                "and sheets that are no lists, or bring it in parts."
            )
            % {"size": size / 2**20, "largest": settings.LARGEST_REGISTER_FILE_BYTES / 2**20}
        )


def _locked() -> str:
    return _("The file is locked with a password. Save it without one and bring that file.")


def _refuse_bomb(content: bytes) -> None:
    """Look at the sizes that the archive states before a single byte is unpacked.

    A file that states them falsely is stopped by the reader: zip members are cut at their
    stated size.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            members = archive.infolist()
    except (zipfile.BadZipFile, ValueError):
        raise UnableToRead(damaged()) from None
    if any(member.flag_bits & 1 for member in members):
        raise UnableToRead(_locked())
    unpacked = sum(member.file_size for member in members)
    swollen = unpacked > RATIO_FROM_BYTES and unpacked > LARGEST_RATIO * len(content)
    if unpacked > LARGEST_UNPACKED_BYTES or swollen:
        raise UnableToRead(
            _(
                "The file would unpack to %(size).0f MB and was not opened. Copy the list into a "
                "new workbook, without formats, and bring that."
            )
            % {"size": unpacked / 2**20}
        )


def damaged() -> str:
    """Return the words for a file that breaks off or contradicts itself."""
    return _(
        "The file is damaged, or is no spreadsheet. Open it in a spreadsheet program, save it "
        "anew as .xlsx and bring that file."
    )
