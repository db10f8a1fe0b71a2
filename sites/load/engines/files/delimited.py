"""Text files with one row a line: which letters, which delimiter, which cells."""

import csv
import io
import re
from collections import Counter
from itertools import islice

from sites.cells.engines.raw import RawRows, RawSheet
from sites.load.engines.files.limits import Count, Unfit

DELIMITERS = ",;\t|"
SAMPLE_ROWS = 200
LONGEST_CELL = 131_072
WIDEST_ROW = 16_384
_CONTROL = re.compile(r"[\x00-\x08\x0e-\x1f]")
_SEPARATOR_LINE = re.compile(r"sep=(.)\n", re.IGNORECASE)
_QUOTED = re.compile(r'"[^"]*"')


def read_delimited(name: str, filename: str, content: bytes, count: Count) -> RawSheet:
    """Return the one sheet of a text file.

    Raises:
        Unfit: the bytes are no text, a quotation mark swallows the rest of the file, or it holds
            more than is read.
    """
    text = _lines_alike(decode(content))
    delimiter = ""
    if named := _SEPARATOR_LINE.match(text):
        delimiter, text = named[1], text[named.end() :]
    delimiter = delimiter or find_delimiter(text)
    return RawSheet(name, filename, _rows(text, delimiter, count), delimiter=delimiter)


def _lines_alike(text: str) -> str:
    """Rows end as the file's own rows do; any other mark of a line end is part of a cell."""
    text = text.replace("\r\n", "\n")
    if "\r" not in text:
        return text
    # Old programs end rows by a lone CR, and may have other line ends inside a cell.
    return text.replace("\r", " " if "\n" in _QUOTED.sub("", text) else "\n")


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
        raise Unfit("no text") from None


def _checked(text: str) -> str:
    if _CONTROL.search(text):
        raise Unfit("no text")
    return text


def _evenness(text: str, delimiter: str) -> int:
    csv.field_size_limit(LONGEST_CELL)
    widths: Counter[int] = Counter()
    try:
        for row in islice(
            csv.reader(io.StringIO(text[:200_000]), delimiter=delimiter), SAMPLE_ROWS
        ):
            widths[len(row)] += any(row)
    except csv.Error:
        # A cell without an end. Reading all of it by any delimiter tells where.
        return 0
    return max((width * count for width, count in widths.items() if width > 1), default=0)


def _rows(text: str, delimiter: str, count: Count) -> RawRows:
    csv.field_size_limit(LONGEST_CELL)
    rows: RawRows = []
    reader = csv.reader(io.StringIO(text), delimiter=delimiter)
    try:
        for row in reader:
            count.add(len(row))
            rows.append(list(row))
            if len(row) > WIDEST_ROW:
                raise Unfit("wide row", row=len(rows))
            if any(cell.count("\n") > 60 for cell in row):
                raise Unfit("unclosed", row=len(rows))
    except csv.Error:
        reason = "unclosed" if '"' in text else "long cell"
        raise Unfit(reason, row=len(rows) + 1, most=LONGEST_CELL) from None
    return rows
