"""Load register files from the command line: look first, then load all of it or nothing."""

import json
import time
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.load.services.by_command import load_by_command
from faults.load.services.register import UnableToLoad, check_register
from sites.cells.services.refusals import UnableToRead
from sites.load.services.files import RegisterFile
from sites.load.services.preview import Preview

SHOWN = 50
SAY_EVERY_S = 1.0


class Command(BaseCommand):
    """Load register files. Nothing is written while there is a single problem."""

    help = "Load register files (.csv, .xlsx, .xls, .ods). All of them together are one load."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the files, and answers to what they leave open."""
        parser.add_argument("files", nargs="+", type=Path)
        parser.add_argument("--check", action="store_true", help="look only; write nothing")
        parser.add_argument(
            "--answers",
            type=Path,
            help='a JSON file of answers: {"sheets": {"sheet": "stations"}, "columns": {"sheet": '
            '{"A": "property", "F": ""}}, "day_order": "dmy", "units": "metric", "decimal": ","}; '
            'a column is named by its letter, and "" leaves it out',
        )
        parser.add_argument("--day-order", choices=["dmy", "mdy"], help="day or month first")
        parser.add_argument("--units", choices=["US", "metric"], help="units where none is named")
        parser.add_argument("--decimal", choices=[",", "."], help="the decimal mark of numbers")

    def handle(self, *args: Any, **options: Any) -> None:
        """Load, or only look, and print what came of it."""
        work: dict[str, Any] = {
            "files": [_file(path) for path in options["files"]],
            "answers": _answers(options),
            "today": timezone.localdate(),
            "progress": _Spoken(self) if options["verbosity"] > 1 else None,
        }
        try:
            preview = check_register(**work) if options["check"] else load_by_command(**work)
        except UnableToRead as refusal:
            raise CommandError(str(refusal)) from None
        except UnableToLoad as refusal:
            self._print(refusal.preview)
            raise CommandError(str(refusal)) from None
        self._print(preview)
        if not preview.can_load:
            raise CommandError(_("These files cannot be loaded yet: see above."))
        self.stdout.write(_("Nothing was written.") if options["check"] else _("Loaded."))

    def _print(self, preview: Preview) -> None:
        self.stdout.write(_table(preview))
        for sheet in preview.sheets:
            self._list(sheet.name, sheet.remarks)
        self._list(_("all sheets"), preview.remarks)
        for question in preview.questions:
            flag = "--" + question.name.replace("_", "-")
            choices = ", ".join(f"{flag} {value} ({words})" for value, words in question.choices)
            self.stdout.write(f"? {question.text} {choices}")
        for problem in preview.problems[:SHOWN]:
            row = _("row %d") % problem.row if problem.row else ""
            where = ", ".join(filter(None, (problem.sheet, row, problem.column)))
            value = f" '{problem.value}'" if problem.value else ""
            self.stdout.write(f"! {where}:{value} {problem.text}")
        if preview.problem_count > SHOWN:
            self.stdout.write(_("! and %d more problems") % (preview.problem_count - SHOWN))

    def _list(self, name: str, remarks: list[str]) -> None:
        for remark in remarks[:SHOWN]:
            self.stdout.write(f"- {name}: {remark}")
        if len(remarks) > SHOWN:
            self.stdout.write(_("- and %d more remarks") % (len(remarks) - SHOWN))


class _Spoken:
    """Progress on the command line, a line a second at most."""

    def __init__(self, command: BaseCommand) -> None:
        self._command = command
        self._last = 0.0

    def say(self, text: str, done: int = 0, total: int = 0) -> None:
        now = time.monotonic()
        if now - self._last >= SAY_EVERY_S:
            self._last = now
            self._command.stderr.write(f"{text} {done}/{total}" if total else text)


def _file(path: Path) -> RegisterFile:
    try:
        # A byte more than may be read is enough to refuse it.
        with path.open("rb") as file:
            return RegisterFile(path.name, file.read(settings.LARGEST_REGISTER_FILE_BYTES + 1))
    except OSError as error:
        raise CommandError(f"{path}: {error.strerror}") from None


def _answers(options: dict[str, Any]) -> dict[str, Any]:
    answers: dict[str, object] = {}
    if options["answers"]:
        try:
            answers = json.loads(options["answers"].read_text())
        except (OSError, ValueError) as error:
            raise CommandError(f"{options['answers']}: {error}") from None
    for name in ("day_order", "units", "decimal"):
        if options[name]:
            answers[name] = options[name]
    return answers


def _table(preview: Preview) -> str:
    heads = [_("sheet"), _("is"), _("rows"), _("added"), _("changed"), _("same"), _("problems")]
    rows = [
        [
            sheet.name,
            sheet.kind or "–",
            *map(
                str,
                (sheet.rows, sheet.added, sheet.changed, sheet.unchanged, sheet.problem_count),
            ),
        ]
        for sheet in preview.sheets
    ]
    widths = [max(len(row[index]) for row in [heads, *rows]) for index in range(len(heads))]
    lines = [
        "  ".join(
            cell.ljust(width) if index < 2 else cell.rjust(width)
            for index, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in [heads, *rows]
    ]
    return "\n".join(lines)
