"""What one station off central control waits on, and whose move it is: one rule, one place.

Total and single: every combination of facts has exactly one answer.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from faults.engines.stages import CLOSED, Stage
from sites.engines.spells import Reason


class WaitsOn(StrEnum):
    """The one thing that holds a station off central now."""

    REPORT = "report"
    LINK = "link"
    CLIENTS_CHOICE = "clients choice"
    VISIT = "visit"
    VISIT_DAY = "visit day"
    VISIT_RESULT = "visit result"
    ASK = "ask"
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
}


class Consent(StrEnum):
    """How the question to the client stands."""

    NOT_ASKED = "not asked"
    ASKED = "asked"
    REFUSED = "refused"


class Ticket(StrEnum):
    """How the latest notice stands today. "Not needed": nothing will be dug."""

    NOT_NEEDED = "not needed"
    NONE = "none"
    WAITING = "waiting"
    CLEAR = "clear"
    RAN_OUT = "ran out"


class Held(StrEnum):
    """What a planned visit is held for."""

    WEATHER = "weather"
    PARTS = "parts"
    ACCESS = "access"


@dataclass(frozen=True, slots=True)
class Visit:
    """The next open job of the fault: its day, where it has one, and what it is held for."""

    day: date | None = None
    digs: bool = False
    held: Held | None = None
    held_since: date | None = None


@dataclass(frozen=True, slots=True)
class Facts:
    """All that the rule looks at, for one station on one day.

    `moved_on` is the day of the station's last move of stage; `stage` is None where the station
    has no open fault; `had_fault_closed_on` the day on which its last fault closed within the
    spell. Days that are not known are None; `off_since` is always known.
    """

    today: date
    off_since: date
    reason: Reason
    stage: Stage | None = None
    moved_on: date | None = None
    had_fault_closed_on: date | None = None
    consent: Consent = Consent.NOT_ASKED
    consent_on: date | None = None
    ticket: Ticket = Ticket.NONE
    ticket_on: date | None = None
    ticket_clear_on: date | None = None
    visit: Visit | None = None
    enable_asked_on: date | None = None


@dataclass(frozen=True, slots=True)
class Waiting:
    """The answer: the thing, whose move, since when, and until when where a day is set."""

    on: WaitsOn
    since: date
    until: date | None = None

    @property
    def mover(self) -> Mover:
        """Whose move it is."""
        return MOVER_OF[self.on]


def waiting(facts: Facts) -> Waiting:
    """Return the one thing that a station off central waits on.

    The reason of the day decides first where no wire is at fault: a lost link waits on
    central's operator, the client's own choice on the client. Then the stage decides.
    """
    if facts.reason is Reason.LINK_LOST and facts.stage is None:
        return Waiting(WaitsOn.LINK, facts.off_since)
    if facts.stage is None or facts.stage in CLOSED:
        return _without_fault(facts)
    return _BY_STAGE[facts.stage](facts)


def _without_fault(facts: Facts) -> Waiting:
    if facts.had_fault_closed_on is not None:
        return Waiting(WaitsOn.AFTER_RETURN, max(facts.off_since, facts.had_fault_closed_on))
    if facts.reason is Reason.CLIENT:
        return Waiting(WaitsOn.CLIENTS_CHOICE, facts.off_since)
    if facts.reason is Reason.LINK_LOST:
        return Waiting(WaitsOn.LINK, facts.off_since)
    return Waiting(WaitsOn.REPORT, facts.off_since)


def _moved(facts: Facts) -> date:
    return facts.moved_on or facts.off_since


def _reported(facts: Facts) -> Waiting:
    visit = facts.visit
    if visit is None or visit.digs:
        return Waiting(WaitsOn.VISIT, _moved(facts))
    return _held(facts, visit) or _by_day(
        facts, visit, none=WaitsOn.VISIT, ahead=WaitsOn.VISIT_DAY, past=WaitsOn.VISIT_RESULT
    )


def _scheduled(facts: Facts) -> Waiting:
    visit = facts.visit
    if visit is None or visit.digs:
        return Waiting(WaitsOn.VISIT_RESULT, _moved(facts))
    return _held(facts, visit) or _by_day(
        facts, visit, none=WaitsOn.VISIT, ahead=WaitsOn.VISIT_DAY, past=WaitsOn.VISIT_RESULT
    )


def _found(facts: Facts) -> Waiting:
    if facts.consent is Consent.ASKED:
        return Waiting(WaitsOn.ANSWER, facts.consent_on or _moved(facts))
    if facts.consent is Consent.REFUSED:
        return Waiting(WaitsOn.REFUSED, facts.consent_on or _moved(facts))
    return Waiting(WaitsOn.ASK, _moved(facts))


def _agreed(facts: Facts) -> Waiting:
    if facts.ticket in (Ticket.NONE, Ticket.RAN_OUT):
        return Waiting(WaitsOn.NOTICE, facts.ticket_on or _moved(facts))
    if facts.ticket is Ticket.WAITING:
        return Waiting(
            WaitsOn.NOTICE_CLEAR, facts.ticket_on or _moved(facts), facts.ticket_clear_on
        )
    visit = facts.visit
    if visit is None:
        return Waiting(WaitsOn.DIG, _moved(facts))
    return _held(facts, visit) or _by_day(
        facts, visit, none=WaitsOn.DIG, ahead=WaitsOn.DIG_DAY, past=WaitsOn.MEND_RESULT
    )


def _mended(facts: Facts) -> Waiting:
    return Waiting(WaitsOn.PROOF, _moved(facts))


def _proven(facts: Facts) -> Waiting:
    if facts.enable_asked_on is not None:
        return Waiting(WaitsOn.ENABLE, facts.enable_asked_on)
    return Waiting(WaitsOn.RETURN, _moved(facts))


_HELD_FOR = {
    Held.WEATHER: WaitsOn.WEATHER,
    Held.PARTS: WaitsOn.PARTS,
    Held.ACCESS: WaitsOn.ACCESS,
}


def _held(facts: Facts, visit: Visit) -> Waiting | None:
    if visit.held is None:
        return None
    return Waiting(_HELD_FOR[visit.held], visit.held_since or _moved(facts), visit.day)


def _by_day(facts: Facts, visit: Visit, *, none: WaitsOn, ahead: WaitsOn, past: WaitsOn) -> Waiting:
    if visit.day is None:
        return Waiting(none, _moved(facts))
    if visit.day >= facts.today:
        return Waiting(ahead, _moved(facts), visit.day)
    return Waiting(past, max(visit.day, _moved(facts)))


_BY_STAGE = {
    Stage.REPORTED: _reported,
    Stage.SCHEDULED: _scheduled,
    Stage.FOUND: _found,
    Stage.AGREED: _agreed,
    Stage.MENDED: _mended,
    Stage.PROVEN: _proven,
}
