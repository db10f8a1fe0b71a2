"""Write the register to a file from the command line."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.load.services.export.register import register_workbook, register_zip
from sites.export.services.sheets import Wanted


class Command(BaseCommand):
    """Write all of the register, or one property of it, as sheets that can be loaded again."""

    help = "Write the register: FILE ends in .xlsx (a workbook) or .zip (one .csv per sheet)."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the file, and one property's code."""
        parser.add_argument("file", type=Path)
        parser.add_argument("--property", default="", metavar="CODE", help="only this property")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write the file."""
        path: Path = options["file"]
        wanted = Wanted(code=options["property"])
        if wanted.code and not wanted.places():
            raise CommandError(_("There is no property %s in care.") % wanted.code)
        if path.suffix.lower() not in (".xlsx", ".zip"):
            raise CommandError(_("Give the file a name that ends in .xlsx or .zip."))
        try:
            _write(path, wanted)
        except OSError as error:
            raise CommandError(f"{path}: {error.strerror}") from None
        self.stdout.write(_("Written: %s") % path)


def _write(path: Path, wanted: Wanted) -> None:
    with path.open("wb") as file:
        if path.suffix.lower() == ".xlsx":
            register_workbook(wanted, file)
            return
        for block in register_zip(wanted, on=timezone.localdate()):
            file.write(block)
