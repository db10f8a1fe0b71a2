"""Export, forget everything, load, export again."""

import csv
import io
import zipfile
from datetime import date

from faults.load.services.export.register import register_workbook, register_zip
from faults.load.services.register import TABLES, check_register, load_register
from faults.models import Reading
from sites.export.services.sheets import Wanted
from sites.load.services.files import RegisterFile
from sites.load.services.preview import Preview
from sites.models import Spell, User
from tests import make

Lists = dict[str, str]


def exported(user: User | None = None, *, code: str = "") -> Lists:
    """Return each list of the register as text."""
    return lists_of(zipped(user, code=code))


def zipped(user: User | None = None, *, code: str = "") -> bytes:
    """Return the packed folder."""
    return b"".join(register_zip(Wanted(user, code), on=make.TODAY))


def workbook(user: User | None = None) -> bytes:
    """Return the workbook."""
    file = io.BytesIO()
    register_workbook(Wanted(user), file)
    return file.getvalue()


def lists_of(content: bytes) -> Lists:
    """Return the lists of a packed folder."""
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        return {name: archive.read(name).decode("utf-8-sig") for name in archive.namelist()}


def rows_of(lists: Lists, name: str) -> list[dict[str, str]]:
    """Return the rows of one list by heading."""
    return list(csv.DictReader(io.StringIO(lists[f"{name}.csv"])))


def files_of(lists: Lists) -> list[RegisterFile]:
    """Return lists as files to load."""
    return [RegisterFile(name, text.encode()) for name, text in lists.items()]


def load(*files: RegisterFile, today: date = make.TODAY) -> Preview:
    """Load files as the command line does."""
    return load_register(files=files, today=today)


def look(lists: Lists, *, today: date = make.TODAY) -> Preview:
    """Return what loading the lists would do."""
    return check_register(files=files_of(lists), today=today)


def forget_everything() -> None:
    """Empty every table that loading fills."""
    Spell.objects.all().delete()
    Reading.objects.all().delete()
    for model in reversed(TABLES):
        model._base_manager.all().delete()
