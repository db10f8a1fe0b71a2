"""Text files with one row a line: which letters, which delimiter, which cells."""

import csv
import io
import re
from collections import Counter
from itertools import islice

from django.utils.translation import gettext as _

from sites.services.load.raw import RawRows, RawSheet
from sites.services.load.refusals import UnableToRead

DELIMITERS = ",;\t|"
SAMPLE_ROWS = 200
LONGEST_CELL = 131_072
_CONTROL = re.compile(r"[\x00-\x08\x0e-\x1f]")
_SEPARATOR_LINE = re.compile(r"sep=(.)\r?\n", re.IGNORECASE)


def read_delimited(*, name: str, filename: str, content: bytes) -> RawSheet:
    """Return the one sheet of a text file.

    Raises:
        UnableToRead: the bytes are no text, or a quotation mark swallows the rest of the file.
    """
    text = decode(content)
    delimiter = ""
    if named := _SEPARATOR_LINE.match(text):
        delimiter, text = named[1], text[named.end() :]
    delimiter = delimiter or find_delimiter(text)
    return RawSheet(name, filename, _rows(text, delimiter), delimiter=delimiter)


def decode(content: bytes) -> str:
    """Return the text, whichever of the usual ways its letters were written in."""
    for mark, encoding in (
        (b"\xef\xbb\xbf", "utf-8-sig"),
        (b"\xff\xfe", "utf-16"),
        (b"\xfe\xff", "utf-16"),
    ):
        if content.startswith(mark):
            return _decoded(content, encoding)
    if encoding := _wide_encoding(content):
        return _decoded(content, encoding)
    try:
        return _checked(content.decode("utf-8"))
    except UnicodeDecodeError:
        return _decoded(content, "cp1252")


def find_delimiter(text: str) -> str:
    """Return the delimiter that cuts most rows into the same number of cells."""
    return max(DELIMITERS, key=lambda mark: _evenness(text, mark))


def _wide_encoding(content: bytes) -> str:
    """UTF-16 without its mark shows itself by a zero in every other byte."""
    sample = content[:4000]
    if len(sample) < 4 or 0 not in sample:
        return ""
    zeros_first, zeros_second = sample[::2].count(0), sample[1::2].count(0)
    half = len(sample) / 2
    if zeros_second > 0.4 * half and zeros_first < 0.05 * half:
        return "utf-16-le"
    if zeros_first > 0.4 * half and zeros_second < 0.05 * half:
        return "utf-16-be"
    return ""


def _decoded(content: bytes, encoding: str) -> str:
    try:
        return _checked(content.decode(encoding))
    except UnicodeDecodeError:
        raise UnableToRead(_not_text()) from None


def _checked(text: str) -> str:
    if _CONTROL.search(text):
        raise UnableToRead(_not_text())
    return text


def _not_text() -> str:
    return _(
        "This is neither a spreadsheet nor a text file with one row a line. Save the list as "
        ".xlsx, .ods or .csv and bring that file."
    )


def _evenness(text: str, delimiter: str) -> int:
    widths = Counter(
        len(row)
        for row in islice(csv.reader(io.StringIO(text[:200_000]), delimiter=delimiter), SAMPLE_ROWS)
        if any(row)
    )
    return max((width * count for width, count in widths.items() if width > 1), default=0)


def _rows(text: str, delimiter: str) -> RawRows:
    csv.field_size_limit(LONGEST_CELL)
    rows: RawRows = []
    try:
        for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter):
            rows.append(list(row))
            if any(cell.count("\n") > 60 for cell in row):
                raise UnableToRead(_unclosed(len(rows)))
    except csv.Error:
        raise UnableToRead(_unclosed(len(rows) + 1)) from None
    return rows


def _unclosed(row: int) -> str:
    return _(
        "A quotation mark that is opened near row %(row)d is never closed. Close it, or take it "
        "out, and bring the file again."
    ) % {"row": row}
