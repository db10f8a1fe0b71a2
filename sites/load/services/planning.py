"""Plan a load: every sheet in turn, against what exists and what the file itself brings."""

import hashlib
from collections.abc import Sequence
from datetime import date

from django.utils.translation import gettext as _

from sites.cells.engines.plain_words import same_name
from sites.cells.engines.raw import RawSheet
from sites.cells.services.columns import plain_text
from sites.load.services.book import Book, Scope
from sites.load.services.files import RegisterFile
from sites.load.services.kinds import Kinds
from sites.load.services.load import Load, PlannedKind
from sites.load.services.manners import settle_manner
from sites.load.services.preview import Digest, Preview
from sites.load.services.recognise import Answers, recognise, tell_columns, unknown_report
from sites.load.services.rows import Sheet
from sites.runs.services import Progress


def plan_load(
    sheets: list[RawSheet],
    *,
    files: Sequence[RegisterFile],
    kinds: Kinds,
    answers: Answers,
    scope: Scope,
    today: date,
    progress: Progress,
) -> tuple[Load, Preview]:
    """Plan what the sheets would write, and the preview of it. Writes nothing."""
    digest = Digest()
    digest.add(answers, *(hashlib.sha256(file.content).hexdigest() for file in files))
    filename = ", ".join(file.filename for file in files)[:200]
    preview = Preview(filename)
    known = _known_sheets(sheets, kinds, answers, digest, preview)
    progress.say(_("Looking at the days and numbers"))
    manner, preview.questions = settle_manner(known, answers=answers, today=today)
    book = Book(scope, _names_of_properties(known), progress)
    load = Load(today, book, answers, progress, filename)
    for kind in kinds.values():
        for sheet in (each for each in known if each.kind is kind):
            sheet.manner, sheet.system_of = manner, load.system_of
            _plan_sheet(load, sheet)
    for report in preview.sheets:
        report.problems.sort(key=lambda problem: problem.row or 0)
    preview.remarks += load.remarks
    preview.made = load.work.counts()
    digest.add(*((p.sheet, p.row, p.text) for p in preview.problems))
    preview.digest = digest.done()
    return load, preview


def _plan_sheet(load: Load, sheet: Sheet) -> None:
    tell_columns(sheet)
    kind = sheet.kind
    if not isinstance(kind, PlannedKind):
        sheet.report.remark(str(kind.left_alone))
        return
    if kind.required <= set(sheet.columns):
        load.tell(sheet, 0, len(sheet.raw.rows))
        kind.plan(load, sheet)


def _known_sheets(
    sheets: list[RawSheet], kinds: Kinds, answers: Answers, digest: Digest, preview: Preview
) -> list[Sheet]:
    known = []
    for raw in sheets:
        sheet = recognise(raw, kinds, answers, digest)
        if sheet is not None:
            known.append(sheet)
            preview.sheets.append(sheet.report)
            continue
        report = unknown_report(raw)
        preview.sheets.append(report)
        report.remark(_("This sheet was left alone: it is none of the register's lists."))
    if not known:
        preview.sheets[0].problem(
            None,
            "",
            "",
            _(
                "No sheet was recognised: no row holds the headings of a register. Say what "
                "each sheet is, or give its columns the headings of a file from “Export the "
                "register”."
            ),
        )
    return known


def _names_of_properties(sheets: list[Sheet]) -> set[str]:
    """Every text that can name a property: only their records are read."""
    names = {same_name(sheet.raw.name) for sheet in sheets}
    for sheet in sheets:
        wanted = [
            matched.index
            for name, matched in sheet.columns.items()
            if name in ("property code", "property")
            or (sheet.kind.name, name) == ("properties", "ref")
        ]
        for row in sheet.raw.rows[sheet.heading_row :]:
            for index in wanted:
                if index < len(row):
                    names.add(same_name(plain_text(row[index])))
    names.discard("")
    return names
