"""How days and numbers of a load are to be read: inferred from the file, or asked once."""

from collections.abc import Iterator
from datetime import date

from django.utils.translation import gettext as _

from sites.cells.engines.days import order_shown
from sites.cells.engines.measures import number_part
from sites.cells.engines.numbers import COMMA, POINT, decimal_mark
from sites.cells.engines.raw import Cell
from sites.cells.services.columns import Manner, Measure
from sites.cells.services.day_columns import Day, Span
from sites.load.services.preview import Question
from sites.load.services.recognise import Answers
from sites.load.services.rows import Matched, Sheet

Found = dict[str, tuple[Sheet, int, Matched, str]]


def settle_manner(
    sheets: list[Sheet], *, answers: Answers, today: date
) -> tuple[Manner, list[Question]]:
    """Return how to read the cells of these sheets, and what has to be asked about them."""
    questions: list[Question] = []
    order = _day_order(sheets, answers, questions)
    mark, is_sure = _decimal(sheets, answers, questions)
    return Manner(today, order, mark, is_sure), questions


def _day_order(sheets: list[Sheet], answers: Answers, questions: list[Question]) -> str:
    if answers.day_order:
        return answers.day_order
    found: Found = {}
    examples: list[str] = []
    for sheet, number, matched, text in _texts(sheets, (Day, Span)):
        shown = order_shown(text)
        if shown == "?" and text not in examples and len(examples) < 5:
            examples.append(text)
        if shown:
            found.setdefault(shown, (sheet, number, matched, text))
    if "dmy" in found and "mdy" in found:
        _tell_contradiction(found)
        return ""
    settled = next((order for order in ("dmy", "mdy") if order in found), "")
    if "?" in found:
        if settled:
            _tell_inferred(found[settled], settled, examples)
        else:
            questions.append(_ask_order(examples))
    return settled


def _tell_inferred(place: tuple[Sheet, int, Matched, str], order: str, examples: list[str]) -> None:
    """Days that can be read two ways are read like one that cannot: say which, and why."""
    sheet, number, _matched, text = place
    words = {"examples": ", ".join(examples), "row": number, "text": text}
    sheet.report.remark(
        _("Days such as %(examples)s were read day first, because row %(row)d says %(text)s.")
        % words
        if order == "dmy"
        else _(
            "Days such as %(examples)s were read month first, because row %(row)d says %(text)s."
        )
        % words
    )


def _tell_contradiction(found: Found) -> None:
    other = found["dmy"]
    sheet, number, matched, text = found["mdy"]
    sheet.report.problem(
        number,
        matched.place,
        text,
        _(
            "Here the month comes first, but in row %(row)d of %(sheet)s ('%(text)s') the day "
            "does. Write all days of the file one way, best as 2025-03-04."
        )
        % {"row": other[1], "sheet": other[0].report.name, "text": other[3]},
    )


def _ask_order(examples: list[str]) -> Question:
    return Question(
        "day_order",
        _("Which comes first in the days of this file, such as %(example)s?")
        % {"example": examples[0]},
        (("dmy", _("the day")), ("mdy", _("the month"))),
        tuple(examples),
    )


def _decimal(sheets: list[Sheet], answers: Answers, questions: list[Question]) -> tuple[str, bool]:
    if answers.decimal:
        return answers.decimal, True
    shown: dict[str, str] = {}
    by_semicolon = False
    for sheet, _number, _matched, text in _texts(sheets, (Measure,)):
        if (mark := decimal_mark(number_part(text))) and mark not in shown:
            shown[mark] = text
            by_semicolon |= mark == "?" and sheet.raw.delimiter == ";"
    if COMMA in shown and POINT in shown:
        return POINT, False
    if COMMA in shown or POINT in shown or "?" not in shown:
        return (COMMA if COMMA in shown else POINT), True
    if by_semicolon:
        # Such files come from places where the comma is the decimal mark, but not always.
        questions.append(_ask_decimal(shown["?"]))
    return POINT, True


def _ask_decimal(example: str) -> Question:
    return Question(
        "decimal",
        _("What is the decimal mark in numbers such as %(example)s?") % {"example": example},
        ((",", _("the comma")), (".", _("the point"))),
        (example,),
    )


def _texts(
    sheets: list[Sheet], kinds: tuple[type, ...]
) -> Iterator[tuple[Sheet, int, Matched, str]]:
    """Every text cell of the columns of these kinds."""
    for sheet in sheets:
        columns = [m for m in sheet.columns.values() if isinstance(m.column, kinds)]
        if sheet.kind.is_left_alone or not columns:
            continue
        for number, row in enumerate(sheet.raw.rows[sheet.heading_row :], sheet.heading_row + 1):
            for matched in columns:
                cell: Cell = row[matched.index] if matched.index < len(row) else ""
                if isinstance(cell, str) and cell:
                    yield sheet, number, matched, cell
