"""How the notices of many faults stand on a day, for what each station waits on."""

from collections.abc import Iterable
from datetime import date

from faults.models import OPEN_JOB_STATES, DigOverride, Fault
from faults.notices.engines.dig_gate import Block, PlannedDig
from faults.notices.services.book import NoticeBook
from faults.notices.services.terms import Judged, calendar_of, clears_on, last_day, zone_of
from faults.waits.engines.waits import Ticket

State = tuple[Ticket, date | None, date | None]

NOT_OURS = frozenset({Block.WAITING, Block.NOT_ANSWERED})


def ticket_states(fault_ids: Iterable[int], *, today: date) -> dict[int, State]:
    """Return (how the ticket stands, since when, the day on which it clears) of each fault.

    A ticket that waits for us - its rule is not confirmed, its operators are not listed - counts
    as none, since the day on which it was given: it is our move, not the utilities'. The number
    of queries does not grow with the number of faults.
    """
    rows = Fault.objects.filter(pk__in=list(fault_ids)).select_related("property")
    faults = list(rows.order_by("pk"))
    book = NoticeBook.of(fault.property_id for fault in faults)
    let_go = _let_go_by_the_owner([fault.pk for fault in faults])
    return {fault.pk: _state(fault, book, let_go, today) for fault in faults}


def _let_go_by_the_owner(fault_ids: list[int]) -> dict[int, date]:
    rows = DigOverride.objects.filter(
        job__fault__in=fault_ids, job__state__in=OPEN_JOB_STATES, taken_back_on__isnull=True
    )
    return {fault: at.date() for fault, at in rows.order_by("at").values_list("job__fault", "at")}


def _state(fault: Fault, book: NoticeBook, let_go: dict[int, date], today: date) -> State:
    if fault.is_outside_the_wire():
        return Ticket.NOT_NEEDED, None, None
    judged = _judged(fault, book, today)
    clear = clears_on(judged)
    if fault.pk in let_go:
        return Ticket.CLEAR, let_go[fault.pk], clear
    return _in_words_of_waits(judged, clear)


def _judged(fault: Fault, book: NoticeBook, today: date) -> Judged:
    """Judge a dig in the last minute of today, so that a ticket that clears today is clear."""
    place = fault.property
    evening = calendar_of(None, zone_of(place)).end_of(today)
    return book.judge(place, fault.pk, PlannedDig(evening, evening))


def _in_words_of_waits(judged: Judged, clear: date | None) -> State:
    blocks = {reason.block for reason in judged.gate.reasons}
    if judged.notice is None:
        return Ticket.NONE, None, None
    given = judged.calendar.local(judged.notice.given_at).date()
    out = last_day(judged)
    if Block.RAN_OUT in blocks or Block.ENDS_AFTER_IT_RUNS_OUT in blocks:
        return Ticket.RAN_OUT, date.fromordinal(out.toordinal() + 1) if out else None, clear
    if not blocks:
        return Ticket.CLEAR, clear or given, clear
    return (Ticket.WAITING if blocks <= NOT_OURS else Ticket.NONE), given, clear
