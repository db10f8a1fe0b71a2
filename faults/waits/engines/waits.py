"""What one station off central control waits on, and whose move it is: one rule, one place.

Total and single: every combination of facts has exactly one answer. What we can do ourselves
comes before what others owe us: a notice that was never given comes before a gate that is locked.
"""

from dataclasses import dataclass, field, replace
from datetime import date
from enum import StrEnum

from faults.cases.engines.stages import CLOSED, Stage
from faults.work.engines.visits import Held, Visit, VisitState, visit_for
from sites.stopgaps.engines.spells import Reason


class WaitsOn(StrEnum):
    """The one thing that holds a station off central now."""

    REPORT = "report"
    LINK = "link"
    CLIENTS_CHOICE = "clients choice"
    VISIT = "visit"
    VISIT_DAY = "visit day"
    VISIT_RESULT = "visit result"
    ASK = "ask"
    AGREE = "agree"
    ANSWER = "answer"
    REFUSED = "refused"
    NOTICE = "notice"
    NOTICE_CLEAR = "notice clear"
    DIG = "dig"
    DIG_DAY = "dig day"
    MEND_RESULT = "mend result"
    WEATHER = "weather"
    PARTS = "parts"
    ACCESS = "access"
    PROOF = "proof"
    ENABLE = "enable"
    RETURN = "return"
    AFTER_RETURN = "after return"
    GIVEN_UP = "given up"
    BRING_HOME = "bring home"


class Mover(StrEnum):
    """Whose move it is."""

    OURS = "ours"
    CLIENT = "client"
    CENTRAL = "central"
    UTILITIES = "utilities"
    WEATHER = "weather"


MOVER_OF: dict[WaitsOn, Mover] = {
    WaitsOn.REPORT: Mover.OURS,
    WaitsOn.LINK: Mover.CENTRAL,
    WaitsOn.CLIENTS_CHOICE: Mover.CLIENT,
    WaitsOn.VISIT: Mover.OURS,
    WaitsOn.VISIT_DAY: Mover.OURS,
    WaitsOn.VISIT_RESULT: Mover.OURS,
    WaitsOn.ASK: Mover.OURS,
    WaitsOn.AGREE: Mover.OURS,
    WaitsOn.ANSWER: Mover.CLIENT,
    WaitsOn.REFUSED: Mover.OURS,
    WaitsOn.NOTICE: Mover.OURS,
    WaitsOn.NOTICE_CLEAR: Mover.UTILITIES,
    WaitsOn.DIG: Mover.OURS,
    WaitsOn.DIG_DAY: Mover.OURS,
    WaitsOn.MEND_RESULT: Mover.OURS,
    WaitsOn.WEATHER: Mover.WEATHER,
    WaitsOn.PARTS: Mover.OURS,
    WaitsOn.ACCESS: Mover.CLIENT,
    WaitsOn.PROOF: Mover.OURS,
    WaitsOn.ENABLE: Mover.CENTRAL,
    WaitsOn.RETURN: Mover.OURS,
    WaitsOn.AFTER_RETURN: Mover.OURS,
    WaitsOn.GIVEN_UP: Mover.OURS,
    WaitsOn.BRING_HOME: Mover.OURS,
}


class Consent(StrEnum):
    """How the latest question to the client stands."""

    NOT_ASKED = "not asked"
    ASKED = "asked"
    AGREED = "agreed"
    REFUSED = "refused"


class Ticket(StrEnum):
    """How the latest notice stands today. "Not needed": nothing will be dug."""

    NOT_NEEDED = "not needed"
    NONE = "none"
    WAITING = "waiting"
    CLEAR = "clear"
    RAN_OUT = "ran out"


@dataclass(frozen=True, slots=True)
class Facts:
    """All that the rule looks at, for one station on one day.

    `off_since` is the first day of the spell, `reason_since` that of its present reason. `stage`
    is the one of the station's open fault, or None; `moved_on` the day of its last move of stage.
    `closed_as` and `closed_on` tell of its last fault that is over. `sound_on` is the day of a
    bring-home test of this spell by which its wire is sound. Days not known are None.
    """

    today: date
    off_since: date
    reason: Reason
    reason_since: date | None = None
    chosen_until: date | None = None
    stage: Stage | None = None
    moved_on: date | None = None
    closed_as: Stage | None = None
    closed_on: date | None = None
    consent: Consent = Consent.NOT_ASKED
    consent_on: date | None = None
    ticket: Ticket = Ticket.NONE
    ticket_on: date | None = None
    ticket_clear_on: date | None = None
    visits: tuple[Visit, ...] = field(default_factory=tuple)
    sound_on: date | None = None
    enable_asked_on: date | None = None


@dataclass(frozen=True, slots=True)
class Waiting:
    """The answer: the thing, since when, and until when where a day is set.

    `visit` is the number of the visit that decided it, if one did.
    """

    on: WaitsOn
    since: date
    until: date | None = None
    visit: int | None = None

    @property
    def mover(self) -> Mover:
        """Whose move it is."""
        return MOVER_OF[self.on]


def waiting(facts: Facts) -> Waiting:
    """Return the one thing that a station off central waits on.

    An open fault's stage decides. Without one, the reason of the day does: a lost link waits on
    central's operator, the client's own choice on the client, the rest on a fault to be reported.
    """
    is_open = facts.stage is not None and facts.stage not in CLOSED
    found = _BY_STAGE[facts.stage](facts) if facts.stage and is_open else _without_fault(facts)
    if facts.sound_on is not None and _is_sound_since(facts, facts.sound_on, found.on):
        found = Waiting(WaitsOn.BRING_HOME, facts.sound_on)
    # A wait cannot have begun on a day that has not come; one that is past is
    # no day to wait for.
    since = min(found.since, max(facts.today, facts.off_since))
    until = found.until if found.until is not None and found.until >= facts.today else None
    return replace(found, since=since, until=until)


# What a sound wire does not change; all others are for a search, a yes or a dig.
_AS_BEFORE = {WaitsOn.LINK, WaitsOn.CLIENTS_CHOICE, WaitsOn.PROOF, WaitsOn.ENABLE, WaitsOn.RETURN}
_AS_BEFORE |= {WaitsOn.WEATHER, WaitsOn.PARTS, WaitsOn.ACCESS, WaitsOn.AFTER_RETURN}


def _is_sound_since(facts: Facts, sound_on: date, on: WaitsOn) -> bool:
    """Whether a sound wire decides: not where the client wants it so, nor before a later move."""
    is_open = facts.stage is not None and facts.stage not in CLOSED
    last = facts.moved_on if is_open else facts.closed_on
    is_late = last is None or sound_on >= last
    return is_late and on not in _AS_BEFORE and facts.reason is not Reason.CLIENT


def _without_fault(facts: Facts) -> Waiting:
    began = facts.reason_since or facts.off_since
    if facts.reason is Reason.LINK_LOST:
        return Waiting(WaitsOn.LINK, began)
    if facts.reason is Reason.CLIENT:
        return _clients_choice(facts, began)
    closed_on = facts.closed_on
    if closed_on is None or closed_on < facts.off_since:
        return Waiting(WaitsOn.REPORT, facts.off_since)
    if facts.closed_as is Stage.GIVEN_UP:
        return Waiting(WaitsOn.GIVEN_UP, closed_on)
    # Returned and off again on one day is a new case; later, the stopgap was forgotten.
    if facts.closed_as is Stage.RETURNED and closed_on > facts.off_since:
        return Waiting(WaitsOn.AFTER_RETURN, closed_on)
    return Waiting(WaitsOn.REPORT, closed_on)


def _clients_choice(facts: Facts, began: date) -> Waiting:
    """The client wants it so; once the day that it named is over, we ask again."""
    if facts.chosen_until is not None and facts.chosen_until < facts.today:
        return Waiting(WaitsOn.ASK, facts.chosen_until)
    return Waiting(WaitsOn.CLIENTS_CHOICE, began, facts.chosen_until)


def _moved(facts: Facts) -> date:
    return facts.moved_on or facts.off_since


def _visit(facts: Facts) -> Visit | None:
    return visit_for(facts.stage, facts.visits, facts.moved_on) if facts.stage else None


def _reported(facts: Facts) -> Waiting:
    return _by_visit(facts, WaitsOn.VISIT, WaitsOn.VISIT_DAY, WaitsOn.VISIT_RESULT)


def _scheduled(facts: Facts) -> Waiting:
    if _visit(facts) is None:
        # Scheduled by word of mouth: who goes and when stands beside the move.
        return Waiting(WaitsOn.VISIT_RESULT, _moved(facts))
    return _reported(facts)


def _found(facts: Facts) -> Waiting:
    """An answer from before the station was found again belongs to an earlier round."""
    said_on = facts.consent_on or _moved(facts)
    is_stale = facts.moved_on is not None and said_on < facts.moved_on
    if facts.consent is Consent.ASKED:
        return Waiting(WaitsOn.ANSWER, said_on)
    if facts.consent is Consent.REFUSED and not is_stale:
        return Waiting(WaitsOn.REFUSED, said_on)
    if facts.consent is Consent.AGREED and not is_stale:
        return Waiting(WaitsOn.AGREE, said_on)
    return Waiting(WaitsOn.ASK, _moved(facts))


def _agreed(facts: Facts) -> Waiting:
    visit = _visit(facts)
    if visit is not None and visit.state in (VisitState.STARTED, VisitState.DONE):
        return _by_visit(facts, WaitsOn.DIG, WaitsOn.DIG_DAY, WaitsOn.MEND_RESULT)
    if facts.ticket in (Ticket.NONE, Ticket.RAN_OUT):
        return Waiting(WaitsOn.NOTICE, facts.ticket_on or _moved(facts))
    if facts.ticket is Ticket.WAITING:
        given_on = facts.ticket_on or _moved(facts)
        return Waiting(WaitsOn.NOTICE_CLEAR, given_on, facts.ticket_clear_on)
    return _by_visit(facts, WaitsOn.DIG, WaitsOn.DIG_DAY, WaitsOn.MEND_RESULT)


def _mended(facts: Facts) -> Waiting:
    return _with_a_day(facts, WaitsOn.PROOF)


def _proven(facts: Facts) -> Waiting:
    if facts.enable_asked_on is not None:
        return Waiting(WaitsOn.ENABLE, facts.enable_asked_on)
    return _with_a_day(facts, WaitsOn.RETURN)


_BY_STAGE = {
    Stage.REPORTED: _reported,
    Stage.SCHEDULED: _scheduled,
    Stage.FOUND: _found,
    Stage.AGREED: _agreed,
    Stage.MENDED: _mended,
    Stage.PROVEN: _proven,
}

_HELD_FOR = {
    Held.WEATHER: WaitsOn.WEATHER,
    Held.PARTS: WaitsOn.PARTS,
    Held.ACCESS: WaitsOn.ACCESS,
}


def _held(facts: Facts, visit: Visit) -> Waiting | None:
    if visit.held is None or visit.state is not VisitState.PLANNED:
        return None
    since = visit.held_since or _moved(facts)
    return Waiting(_HELD_FOR[visit.held], since, visit.day, visit.number)


def _with_a_day(facts: Facts, on: WaitsOn) -> Waiting:
    """The same thing whether or not a visit is planned for it; the visit gives the day."""
    visit = _visit(facts)
    if visit is None or not visit.is_open:
        return Waiting(on, _moved(facts))
    return _held(facts, visit) or Waiting(on, _moved(facts), visit.day, visit.number)


def _by_visit(facts: Facts, none: WaitsOn, ahead: WaitsOn, past: WaitsOn) -> Waiting:
    visit, moved = _visit(facts), _moved(facts)
    if visit is None or visit.state is VisitState.WITHDRAWN:
        return Waiting(none, moved)
    if held := _held(facts, visit):
        return held
    if visit.state is not VisitState.PLANNED:
        return Waiting(past, max(visit.ended_on or visit.day or moved, moved), None, visit.number)
    if visit.day is None:
        return Waiting(none, moved, None, visit.number)
    if visit.day >= facts.today:
        return Waiting(ahead, moved, visit.day, visit.number)
    return Waiting(past, max(visit.day, moved), None, visit.number)
