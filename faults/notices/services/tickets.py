"""Verbs on tickets: give a notice, type in what is printed on it, and who has answered."""

import zoneinfo
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime

from django.utils.translation import gettext as _

from faults.models import CLOSED_STAGES, Fault, Notice, OperatorAnswer, OperatorState
from faults.notices.engines.regions import region_key
from faults.notices.services.book import rules_by_region
from faults.notices.services.printed import far_days
from sites.kernel.engines.roles import Action
from sites.kernel.services.dated import put
from sites.kernel.services.verb_days import UnableToCorrect, refuse_ahead, save_because
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Property, User

DAYS_OF_A_TICKET = ("proposed_start_on", "printed_start_on", "printed_expiry_on")


class UnableToGiveNotice(UnableToAct):
    """A notice that cannot be kept so."""


class UnableToEnterAnswers(UnableToAct):
    """Answers that cannot be kept so."""


@dataclass(frozen=True)
class TicketFacts:
    """What stands on a ticket. Its own printed days win over all that is computed."""

    ticket: str
    given_at: datetime
    proposed_start_on: date
    area: str = ""
    printed_start_on: date | None = None
    printed_expiry_on: date | None = None


@dataclass(frozen=True)
class OperatorLine:
    """What one operator answered; `row` is None for one that is new on the ticket."""

    operator: str
    state: str = OperatorState.WAITING.value
    answered_on: date | None = None
    notes: str = ""
    row: int | None = None


@verb(
    name="give a notice",
    action=Action.GIVE_NOTICE,
    guard="the property is in care, the fault open and of this property; the ticket's number is "
    "new here; given at a moment that has come; its days in order",
    undo="cancel a notice",
)
def give_notice(
    *,
    place: Property,
    facts: TicketFacts,
    operators: Sequence[str] = (),
    fault: Fault | None = None,
    by: User,
    at: datetime,
    is_sure: bool = False,
) -> Notice:
    """Record a request to have utilities marked, for a fault or for a whole property."""
    if place.retired_on is not None:
        raise UnableToGiveNotice(_("This property is retired. Bring it back first."))
    if fault is not None and fault.property_id != place.pk:
        raise UnableToGiveNotice(_("This fault is of another property. Open it there."))
    if fault is not None and fault.stage in CLOSED_STAGES:
        raise UnableToGiveNotice(_("This fault is closed. Open it again first."))
    _refuse_facts(place, facts, at)
    notice = Notice(property=place, fault=fault, entered_by=by)
    notice.rule = rules_by_region().get(region_key(place.notice_region))
    _ask_about_far_days(notice, facts, is_sure=is_sure)
    put(notice, asdict(facts))
    notice.save()
    for name in dict.fromkeys(" ".join(each.split()) for each in operators):
        if name:
            OperatorAnswer.objects.create(notice=notice, operator=name[:80])
    return notice


@verb(
    name="change a notice",
    action=Action.GIVE_NOTICE,
    guard="it is not cancelled; the ticket's number is new here; its days in order",
    undo="change it back, with the values that its history shows",
)
def change_notice(
    *,
    notice: Notice,
    facts: TicketFacts,
    at: datetime,
    why: str = "",
    is_sure: bool = False,
) -> None:
    """Type in the ticket's printed days, or correct what was typed."""
    _refuse_cancelled(notice)
    _refuse_facts(notice.property, facts, at, besides=notice.pk)
    if notice.rule_id is None:
        notice.rule = rules_by_region().get(region_key(notice.property.notice_region))
    _ask_about_far_days(notice, facts, is_sure=is_sure)
    put(notice, asdict(facts))
    save_because(notice, why)


@verb(
    name="cancel a notice",
    action=Action.GIVE_NOTICE,
    guard="it is not cancelled; a day that has come, not before it was given; why",
    undo="bring a notice back",
)
def cancel_notice(*, notice: Notice, on: date, why: str, today: date) -> None:
    """Let no dig go by this ticket any more; it stays on the record."""
    _refuse_cancelled(notice)
    refuse_ahead(on, today, field="on")
    if on < _given_day(notice.property, notice.given_at):
        raise UnableToGiveNotice(_("It was given after that day. Correct the day."), field="on")
    if not why.strip():
        raise UnableToCorrect(_("Say in a few words why."), field="why")
    notice.cancelled_on = on
    save_because(notice, why)


@verb(
    name="bring a notice back",
    action=Action.GIVE_NOTICE,
    guard="it was cancelled; why",
    undo="cancel a notice",
)
def bring_notice_back(*, notice: Notice, why: str) -> None:
    """Let digs go by this ticket again."""
    if notice.cancelled_on is None:
        raise UnableToGiveNotice(_("This notice was not cancelled."))
    notice.cancelled_on = None
    save_because(notice, why)


@verb(
    name="enter what operators answered",
    action=Action.GIVE_NOTICE,
    guard="the notice is not cancelled; each operator once; an answer has its day, which has come "
    "and is not before the notice; an emptied name takes the operator off",
    undo="enter the answers as they were; the history shows them",
)
def enter_answers(*, notice: Notice, lines: Sequence[OperatorLine], today: date) -> int:
    """Keep who must answer and what was answered; return how many lines changed."""
    _refuse_cancelled(notice)
    rows = {row.pk: row for row in notice.operators.order_by("pk")}
    names = [_name(each).casefold() for each in lines if _name(each)]
    if len(names) != len(set(names)):
        raise UnableToEnterAnswers(_("An operator stands there twice. Name each once."))
    return sum(_enter(notice, rows, each, today) for each in lines)


def _name(line: OperatorLine) -> str:
    return " ".join(line.operator.split())[:80]


def _enter(
    notice: Notice, rows: dict[int, OperatorAnswer], line: OperatorLine, today: date
) -> bool:
    row = rows.get(line.row) if line.row else None
    if not _name(line):
        if row is not None:
            row.delete()
        return row is not None
    has_answered = line.state != OperatorState.WAITING
    _refuse_answer(notice, line, has_answered, today)
    new = {
        "operator": _name(line),
        "state": line.state,
        "answered_on": line.answered_on if has_answered else None,
        "notes": line.notes.strip(),
    }
    if row is not None and all(getattr(row, key) == value for key, value in new.items()):
        return False
    row = row or OperatorAnswer(notice=notice)
    put(row, new)
    row.save()
    return True


def _refuse_answer(notice: Notice, line: OperatorLine, has_answered: bool, today: date) -> None:
    if not has_answered:
        return
    if line.answered_on is None:
        raise UnableToEnterAnswers(_("On which day did %s answer?") % _name(line))
    refuse_ahead(line.answered_on, today, field="answered_on")
    if line.answered_on < _given_day(notice.property, notice.given_at):
        raise UnableToEnterAnswers(
            _("%s answered before the notice was given. Correct the day.") % _name(line)
        )


def _refuse_cancelled(notice: Notice) -> None:
    if notice.cancelled_on is not None:
        raise UnableToGiveNotice(
            _("This notice was cancelled on %s. Bring it back first.")
            % notice.cancelled_on.isoformat()
        )


def _given_day(place: Property, given_at: datetime) -> date:
    return given_at.astimezone(zoneinfo.ZoneInfo(place.time_zone)).date()


def _ask_about_far_days(notice: Notice, facts: TicketFacts, *, is_sure: bool) -> None:
    """A day far from the rule's is most often a mistyped year, and would open a dig for months."""
    days = {name: getattr(facts, name) for name in DAYS_OF_A_TICKET}
    for far in far_days(notice.property, notice.rule, facts.given_at, days):
        if is_sure:
            return
        by_rule = _("The rule says %s.") % far.by_rule.isoformat() if far.by_rule else ""
        words = _("Does the ticket really say %s? If it does, tick “These days are as printed”.")
        raise UnableToGiveNotice(
            " ".join([words % far.on.isoformat(), by_rule]).strip(), field=far.name
        )


def _refuse_facts(place: Property, facts: TicketFacts, at: datetime, *, besides: int = 0) -> None:
    if not facts.ticket.strip():
        raise UnableToGiveNotice(_("Which number stands on the ticket?"), field="ticket")
    same = Notice.objects.filter(property=place, ticket__iexact=facts.ticket).exclude(pk=besides)
    if same.exists():
        raise UnableToGiveNotice(
            _("This property has a ticket of that number already. Open that one."), field="ticket"
        )
    if facts.given_at > at:
        raise UnableToGiveNotice(
            _("This moment has not come yet. When was the notice given?"), field="given_at"
        )
    given = _given_day(place, facts.given_at)
    for name in DAYS_OF_A_TICKET:
        day = getattr(facts, name)
        if day is not None and day < given:
            raise UnableToGiveNotice(
                _("This lies before %s, the day on which the notice was given.")
                % given.isoformat(),
                field=name,
            )
    start, expiry = facts.printed_start_on, facts.printed_expiry_on
    if start is not None and expiry is not None and expiry < start:
        raise UnableToGiveNotice(
            _("It runs out before work may start. Correct one of the printed days."),
            field="printed_expiry_on",
        )
