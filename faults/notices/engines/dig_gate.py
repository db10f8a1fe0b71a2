"""Whether a planned dig may go: the wait is over, everyone answered, and the notice still lives.

The whole dig must lie between the moment at which the notice clears and the end of its life.
Work that only locates is never held back here: it has nothing to clear.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

from faults.notices.engines.workdays import (
    NoticeTerms,
    WorkCalendar,
    first_dig,
    latest_start,
    need_zones,
    runs_out_on,
)


class Reply(StrEnum):
    """What an operator said."""

    NONE = "none"
    CLEAR = "no lines here"
    MARKED = "marked"
    NOT_YET = "not yet"


SETTLED = frozenset({Reply.CLEAR, Reply.MARKED})


class Block(StrEnum):
    """What holds a dig back."""

    NO_NOTICE = "no notice"
    RULE_NOT_CONFIRMED = "rule not confirmed"
    WAITING = "waiting"
    OPERATORS_NOT_LISTED = "operators not listed"
    NOT_ANSWERED = "not answered"
    RAN_OUT = "ran out"
    ENDS_AFTER_IT_RUNS_OUT = "ends after it runs out"
    START_TOO_FAR_AHEAD = "start too far ahead"


@dataclass(frozen=True, slots=True)
class Answer:
    """One operator on the ticket, and its reply.

    Raises:
        ValueError: the operator has no name.
    """

    operator: str
    reply: Reply = Reply.NONE

    def __post_init__(self) -> None:
        if not self.operator.strip():
            raise ValueError("Expected the operator's name, got none")


@dataclass(frozen=True, slots=True)
class Notice:
    """A notice that was given, as the ticket prints it. Moments carry their zone.

    Args:
        proposed_start: the start that was requested. Before it nothing clears: operators mark
            by then.
        printed_start, printed_expiry: the ticket's own; they override what the rule computes,
            also where they lie earlier. Of a day without an hour, `WorkCalendar.at` and
            `WorkCalendar.end_of` make moments.

    Raises:
        ValueError: a moment carries no zone, the printed ones do not lie in order, or one lies
            before the day of the notice.
    """

    given_at: datetime
    answers: tuple[Answer, ...] = ()
    proposed_start: datetime | None = None
    printed_start: datetime | None = None
    printed_expiry: datetime | None = None

    def __post_init__(self) -> None:
        need_zones(given_at=self.given_at, proposed_start=self.proposed_start)
        need_zones(printed_start=self.printed_start, printed_expiry=self.printed_expiry)
        # An emergency ticket starts at once, and a printed day has no hour: compare within a day.
        earliest = self.given_at - timedelta(days=1)
        for name in ("proposed_start", "printed_start", "printed_expiry"):
            moment = getattr(self, name)
            if moment is not None and moment <= earliest:
                raise ValueError(f"Expected {name} on or after the day of the notice, got {moment}")
        start, expiry = self.printed_start, self.printed_expiry
        if start is not None and expiry is not None and expiry <= start:
            raise ValueError(f"Expected printed_expiry > printed_start, got {expiry} <= {start}")


@dataclass(frozen=True, slots=True)
class PlannedDig:
    """The whole of a dig, from its first to its last moment, each with its zone.

    Raises:
        ValueError: it ends before it starts, or a moment carries no zone.
    """

    start: datetime
    end: datetime

    def __post_init__(self) -> None:
        need_zones(start=self.start, end=self.end)
        if self.end < self.start:
            raise ValueError(f"Expected end >= start, got {self.end} < {self.start}")


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that holds a dig back.

    `until` says when the wait ends; `on` is the last day of the notice, or the latest day that
    may be proposed as the start; `operators` have not answered.
    """

    block: Block
    until: datetime | None = None
    on: date | None = None
    operators: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DigGate:
    """Every reason against a dig, and the moments between which the notice lets it go.

    `clears_at` and `runs_out_at` are None where nothing confirmed or printed tells them;
    a dig at `runs_out_at` itself is still in time.
    """

    reasons: tuple[Reason, ...] = ()
    clears_at: datetime | None = None
    runs_out_at: datetime | None = None

    @property
    def is_clear(self) -> bool:
        """Whether nothing speaks against the dig."""
        return not self.reasons


def may_dig(
    notice: Notice | None,
    dig: PlannedDig | None,
    *,
    terms: NoticeTerms | None,
    calendar: WorkCalendar,
) -> DigGate:
    """Return whether a planned dig may go, with every reason why not.

    Args:
        notice: None = none was given.
        dig: None = nothing is dug, as when a break is only located; that is always clear.
        terms: the rule of the place, only if it was confirmed; None holds every dig back
            unless the ticket's own start and expiry are both known. Then the operators that are
            listed must still have answered.
    """
    if dig is None:
        return DigGate()
    if notice is None:
        return DigGate((Reason(Block.NO_NOTICE),))
    clears_at = _clears_at(notice, terms, calendar)
    runs_out_at = _runs_out_at(notice, terms, calendar, clears_at)
    reasons = [
        *_of_the_rule(notice, terms),
        *_of_the_start(notice, terms, calendar),
        *_of_the_wait(dig, clears_at),
        *_of_the_answers(notice, terms),
        *_of_the_end(dig, runs_out_at, calendar),
    ]
    return DigGate(tuple(reasons), clears_at, runs_out_at)


def _clears_at(
    notice: Notice, terms: NoticeTerms | None, calendar: WorkCalendar
) -> datetime | None:
    if notice.printed_start is not None:
        return calendar.local(notice.printed_start)
    if terms is None:
        return None
    computed = first_dig(terms, calendar, notice.given_at)
    if notice.proposed_start is None:
        return computed
    return max(computed, calendar.local(notice.proposed_start))


def _runs_out_at(
    notice: Notice, terms: NoticeTerms | None, calendar: WorkCalendar, clears_at: datetime | None
) -> datetime | None:
    if notice.printed_expiry is not None:
        return calendar.local(notice.printed_expiry)
    if terms is None or clears_at is None:
        return None
    # Counted from the requested start, though the wait may outlast it: sooner is safer.
    asked = notice.printed_start or notice.proposed_start
    start_on = calendar.local(asked).date() if asked else clears_at.date()
    given_on = calendar.local(notice.given_at).date()
    last = runs_out_on(terms, calendar, given_on=given_on, start_on=start_on)
    return None if last is None else calendar.end_of(last)


def _of_the_rule(notice: Notice, terms: NoticeTerms | None) -> list[Reason]:
    is_printed = notice.printed_start is not None and notice.printed_expiry is not None
    return [] if terms is not None or is_printed else [Reason(Block.RULE_NOT_CONFIRMED)]


def _of_the_start(
    notice: Notice, terms: NoticeTerms | None, calendar: WorkCalendar
) -> list[Reason]:
    """A start that the centre printed was accepted by it, however far ahead."""
    if terms is None or notice.proposed_start is None or notice.printed_start is not None:
        return []
    latest = latest_start(terms, calendar, calendar.local(notice.given_at).date())
    if latest is None or calendar.local(notice.proposed_start).date() <= latest:
        return []
    return [Reason(Block.START_TOO_FAR_AHEAD, on=latest)]


def _of_the_wait(dig: PlannedDig, clears_at: datetime | None) -> list[Reason]:
    if clears_at is None or dig.start >= clears_at:
        return []
    return [Reason(Block.WAITING, until=clears_at)]


def _of_the_answers(notice: Notice, terms: NoticeTerms | None) -> list[Reason]:
    if terms is not None and not terms.needs_positive_response:
        return []
    if not notice.answers and terms is not None:
        return [Reason(Block.OPERATORS_NOT_LISTED)]
    waited_on = tuple(a.operator for a in notice.answers if a.reply not in SETTLED)
    return [Reason(Block.NOT_ANSWERED, operators=waited_on)] if waited_on else []


def _of_the_end(
    dig: PlannedDig, runs_out_at: datetime | None, calendar: WorkCalendar
) -> list[Reason]:
    if runs_out_at is None or dig.end <= runs_out_at:
        return []
    is_out = dig.start >= runs_out_at
    last = (calendar.local(runs_out_at) - timedelta(microseconds=1)).date()
    block = Block.RAN_OUT if is_out else Block.ENDS_AFTER_IT_RUNS_OUT
    return [Reason(block, on=last)]
