"""Bytes of a file in, raw sheets out, or a refusal in words."""

import json
import logging
import subprocess
import sys
from dataclasses import asdict, dataclass

from django.conf import settings
from django.utils.translation import gettext as _

from sites.cells.engines.raw import RawSheet
from sites.cells.services.refusals import UnableToRead
from sites.load.engines.files.limits import Limits, Unfit
from sites.load.engines.files.plain import taken_in
from sites.load.engines.files.reading import OLE, ZIP, read_bytes
from sites.load.services.refuse import in_words, refuse_unfit
from sites.runs.services import Progress, Silent

logger = logging.getLogger(__name__)

# Text never grows while it is read: starting a process for a short one would cost more.
HARMLESS_TEXT_BYTES = 1024 * 1024
READER = "sites.load.engines.files"


@dataclass(frozen=True)
class RegisterFile:
    """One uploaded file, under its own name."""

    filename: str
    content: bytes


def read_files(files: list[RegisterFile], progress: Progress | None = None) -> list[RawSheet]:
    """Return all sheets of all files, each under a name of its own.

    Raises:
        UnableToRead: a file cannot be read; the message names it.
    """
    progress, sheets = progress or Silent(), []
    for file in files:
        progress.say(_("Opening %(filename)s") % {"filename": file.filename})
        sheets += _read_named(file)
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
    limits = Limits(**settings.READING_A_FILE)
    is_text = not file.content.startswith((OLE, ZIP))
    try:
        if is_text and len(file.content) <= HARMLESS_TEXT_BYTES:
            return read_bytes(file.filename, file.content, limits)
        return _read_apart(file, limits)
    except Unfit as refusal:
        raise UnableToRead(in_words(refusal.reason, refusal.facts)) from None


def _read_apart(file: RegisterFile, limits: Limits) -> list[RawSheet]:
    """In a process of its own, which nothing that is in the file can take us down with."""
    head = json.dumps({"filename": file.filename, "limits": asdict(limits)}).encode()
    try:
        reader = subprocess.run(
            [sys.executable, "-m", READER],
            input=head + b"\n" + file.content,
            capture_output=True,
            cwd=settings.BASE_DIR,
            timeout=limits.seconds,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise Unfit("too much") from None
    if reader.stderr:
        logger.warning("Reading %s: %s", file.filename, reader.stderr.decode(errors="replace"))
    if reader.returncode < 0:
        raise Unfit("too much")
    try:
        return taken_in(reader.stdout)
    except ValueError:
        raise Unfit("damaged") from None


def _read_named(file: RegisterFile) -> list[RawSheet]:
    try:
        return read_file(file)
    except UnableToRead as refusal:
        raise UnableToRead(f"{file.filename}: {refusal}") from None
