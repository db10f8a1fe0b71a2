"""Ask the client about a fault, enter the answer, and ask central's operator to enable."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

from faults.cases.engines.stages import Stage
from faults.models import CLOSED_STAGES, Asked, ClientAnswer, Fault, FaultStation
from sites.kernel.engines.roles import Action
from sites.kernel.services.dated import put
from sites.kernel.services.verb_days import refuse_ahead, save_because, was_wrong
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import User


class UnableToAsk(UnableToAct):
    """A question to the client, or its answer, that cannot be kept so."""


class UnableToNoteEnable(UnableToAct):
    """Central's operator cannot have been asked so."""


@dataclass(frozen=True)
class Question:
    """Who was asked for what, and up to which limit."""

    asked_on: date
    asked_of: str
    what: str
    up_to_hours: Decimal | None = None
    up_to_amount: Decimal | None = None
    notes: str = ""


@verb(
    name="ask the client",
    action=Action.ASK_CLIENT,
    guard="the fault is open and has no question without an answer; a day that has come, not "
    "before the report; who was asked, and what",
    undo="correct a question to the client",
)
def ask_client(*, fault: Fault, question: Question, by: User, today: date) -> Asked:
    """Record that the client was asked; from now on the fault waits on the client."""
    if fault.stage in CLOSED_STAGES:
        raise UnableToAsk(_("This fault is closed. Open it again first."))
    if open_question(fault) is not None:
        raise UnableToAsk(_("A question waits for its answer. Enter that answer first."))
    _refuse_question(fault, question, today)
    return Asked.objects.create(fault=fault, asked_by=by, **asdict(question))


@verb(
    name="enter the client's answer",
    action=Action.ASK_CLIENT,
    guard="the question has no answer; yes or no; a day that has come, not before the question",
    undo="correct a question to the client",
)
def enter_answer(*, asked: Asked, answer: str, on: date, notes: str = "", today: date) -> None:
    """Keep the yes or no. A yes lets the stations move on to agreed by their own verb."""
    if asked.answer:
        raise UnableToAsk(_("It was answered already. Correct that answer instead."))
    _refuse_answer(asked.asked_on, answer, on, today)
    asked.answer, asked.answered_on = answer, on
    if notes.strip():
        asked.notes = notes.strip()
    asked.save()


@verb(
    name="correct a question to the client",
    action=Action.ASK_CLIENT,
    guard="what was wrong; days in order; an answer has its day; one open question a fault",
    undo="correct it again: the old values stand in its history",
)
def correct_question(*, asked: Asked, values: Mapping[str, object], why: str, today: date) -> None:
    """Correct what was asked or answered; an emptied answer opens the question again."""
    reason = was_wrong(why)
    fault = asked.fault
    put(asked, values)
    kept = {name: getattr(asked, name) for name in Question.__dataclass_fields__}
    _refuse_question(fault, Question(**kept), today)
    if asked.answer:
        _refuse_answer(asked.asked_on, asked.answer, asked.answered_on, today)
    else:
        asked.answered_on = None
        other = open_question(fault)
        if other is not None and other.pk != asked.pk:
            raise UnableToAsk(
                _("Another question waits for its answer, and one at a time can."), field="answer"
            )
    save_because(asked, reason)


@verb(
    name="note that central's operator was asked to enable a station",
    action=Action.MOVE_FAULT,
    guard="the stations are proven; a day that has come, not before the report",
    undo="take back that central's operator was asked",
)
def note_enable_asked(*, rows: Sequence[FaultStation], on: date, today: date) -> None:
    """Record on which day the operator was asked: from then on it is central's move."""
    refuse_ahead(on, today, field="on")
    if not rows:
        raise UnableToNoteEnable(_("Choose at least one station."), field="stations")
    for row in rows:
        if row.stage != Stage.PROVEN:
            raise UnableToNoteEnable(
                _("%s is not proven. Prove the mend first; then have it enabled.") % row.station,
                field="stations",
            )
        if on < row.fault.reported_on:
            raise UnableToNoteEnable(_("That was before the fault was reported."), field="on")
        row.enable_asked_on = on
        row.save()


@verb(
    name="take back that central's operator was asked",
    action=Action.MOVE_FAULT,
    guard="it was noted",
    undo="note that central's operator was asked to enable a station",
)
def take_back_enable_asked(*, rows: Sequence[FaultStation], why: str = "") -> None:
    """Take back that the operator was asked."""
    noted = [row for row in rows if row.enable_asked_on is not None]
    if not noted:
        raise UnableToNoteEnable(_("Nobody is noted as asked."))
    for row in noted:
        row.enable_asked_on = None
        save_because(row, why)


def open_question(fault: Fault) -> Asked | None:
    """Return the question of a fault that has no answer yet."""
    found: Asked | None = fault.asked.filter(answer="").order_by("pk").first()
    return found


def last_yes(fault: Fault) -> Asked | None:
    """Return the newest question that the client answered with yes."""
    rows = fault.asked.filter(answer=ClientAnswer.YES)
    found: Asked | None = rows.order_by("-answered_on", "-pk").first()
    return found


def close_question_with_yes(fault: Fault, *, on: date) -> None:
    """Answer the open question, if any: the move to agreed has entered the client's yes."""
    asked = open_question(fault)
    if asked is not None:
        asked.answer, asked.answered_on = ClientAnswer.YES.value, max(on, asked.asked_on)
        asked.save()


def _refuse_question(fault: Fault, question: Question, today: date) -> None:
    refuse_ahead(question.asked_on, today, field="asked_on")
    if question.asked_on < fault.reported_on:
        raise UnableToAsk(
            _("The fault was reported on %s, after this day.") % fault.reported_on.isoformat(),
            field="asked_on",
        )
    if not question.asked_of.strip():
        raise UnableToAsk(_("Who was asked?"), field="asked_of")
    if not question.what.strip():
        raise UnableToAsk(_("What was asked?"), field="what")
    for name in ("up_to_hours", "up_to_amount"):
        limit = getattr(question, name)
        if limit is not None and limit <= 0:
            raise UnableToAsk(_("A limit is above 0. Leave it empty for none."), field=name)


def _refuse_answer(asked_on: date, answer: str, on: date | None, today: date) -> None:
    if answer not in ClientAnswer.values:
        raise UnableToAsk(_("Yes or no?"), field="answer")
    if on is None:
        raise UnableToAsk(_("On which day did they answer?"), field="answered_on")
    refuse_ahead(on, today, field="answered_on")
    if on < asked_on:
        raise UnableToAsk(
            _("They were asked on %s, after this day.") % asked_on.isoformat(),
            field="answered_on",
        )
