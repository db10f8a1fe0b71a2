"""What a notice says, in words: one sentence first, then every reason."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time

from django.utils.translation import gettext as _

from faults.models import NoticeRule
from faults.notices.engines.dig_gate import Block, PlannedDig, Reason
from faults.notices.engines.marks import hand_dug_beside_in
from faults.notices.services.terms import Judged, Lacking, clears_on, judge, last_day
from sites.models import Property
from sites.templatetags.register import depth

MOST_DAYS = 63
# When most crews start: common practice, no source.
SEVEN = time(7)


def clock(moment: datetime) -> str:
    """Return a moment as 2026-03-10, with its hour where that is not midnight."""
    return (
        f"{moment:%Y-%m-%d}" if not (moment.hour or moment.minute) else f"{moment:%Y-%m-%d %H:%M}"
    )


def lacking_words(judged: Judged) -> str:
    """Return why no rule can be counted with, and what to do."""
    words = {
        Lacking.REGION: _(
            "The property names no notice region, so no rule can be counted with. Enter the "
            "region in the property's facts, or type in both printed days of the ticket."
        ),
        Lacking.RULE: _(
            "No rule is kept for this property's region. Have it added and confirmed, or type in "
            "both printed days of the ticket."
        ),
        Lacking.CONFIRMATION: _(
            "The rule of this region is not confirmed. Have the owner confirm it, or type in both "
            "printed days of the ticket."
        ),
        Lacking.CLOSED_DAYS: _(
            "The closed days of %(year)s are not listed, so the wait would end too early. Add "
            "the year, or type in both printed days of the ticket."
        )
        % {"year": judged.lacking_year},
    }
    return words.get(judged.lacking, "")


def reason_words(judged: Judged, reason: Reason) -> str:
    """Return one reason against a dig, in words that say what to do."""
    until = clock(judged.calendar.local(reason.until)) if reason.until else ""
    day = reason.on.isoformat() if reason.on else ""
    return {
        Block.NO_NOTICE: _("No notice was given. Give one before anybody digs."),
        Block.RULE_NOT_CONFIRMED: lacking_words(judged),
        Block.WAITING: _("The utilities have until %s to mark. Wait for it.") % until,
        Block.OPERATORS_NOT_LISTED: _(
            "No operator is listed, and every one must have answered. List them from the ticket."
        ),
        Block.NOT_ANSWERED: _("Not answered yet: %s. Call them.") % ", ".join(reason.operators),
        Block.RAN_OUT: _("The ticket ran out after %s. Stop, and give a new notice.") % day,
        Block.ENDS_AFTER_IT_RUNS_OUT: _(
            "The dig would end after the ticket's last day, %s. Start sooner, or renew it first."
        )
        % day,
        Block.START_TOO_FAR_AHEAD: _(
            "The proposed start lies too far ahead: at most %s by the rule. Type in the printed "
            "start, or give the notice later."
        )
        % day,
    }[reason.block]


def reasons_in_words(judged: Judged) -> list[str]:
    """Return every reason against a dig."""
    return [reason_words(judged, reason) for reason in judged.gate.reasons]


def headline(judged: Judged) -> str:
    """Return in one sentence whether digging is allowed today, and why not.

    `judged` must be of a dig today.
    """
    last = last_day(judged)
    if judged.notice is not None and judged.notice.cancelled_on is not None:
        return _("No digging: this notice was cancelled on %s.") % (
            judged.notice.cancelled_on.isoformat()
        )
    if judged.is_clear and last:
        return _("Digging is allowed today, and until the end of %s.") % last.isoformat()
    if judged.is_clear:
        return _("Digging is allowed today; nothing says when the ticket runs out.")
    return _("No digging today: %s") % _lowered(reason_words(judged, judged.gate.reasons[0]))


def _lowered(words: str) -> str:
    return words[:1].lower() + words[1:]


@dataclass(frozen=True)
class DigDay:
    """One day of a ticket's life: whether digging is allowed, in a word and in full."""

    on: date
    is_allowed: bool
    is_closed: bool
    is_today: bool
    mark: str
    word: str
    why: str


def dig_days(judged: Judged, *, place: Property, today: date) -> list[DigDay]:
    """Return the days from the notice to the end of its life, and today, each with its answer."""
    notice = judged.notice
    if notice is None or notice.cancelled_on is not None:
        return []
    first = judged.calendar.local(notice.given_at).date()
    end = last_day(judged) or clears_on(judged) or notice.proposed_start_on
    end = max(end, min(today, date.fromordinal(end.toordinal() + 7)))
    days = range(first.toordinal(), min(end.toordinal() + 2, first.toordinal() + MOST_DAYS))
    return [_day(judged, place, date.fromordinal(number), today) for number in days]


def weeks(days: list[DigDay]) -> Iterator[list[DigDay | None]]:
    """Yield the days by weeks from Monday, with gaps before the first and after the last."""
    if not days:
        return
    cells: list[DigDay | None] = [*([None] * days[0].on.weekday()), *days]
    cells += [None] * (-len(cells) % 7)
    for start in range(0, len(cells), 7):
        yield cells[start : start + 7]


def _day(judged: Judged, place: Property, on: date, today: date) -> DigDay:
    """Answer for one day: it is allowed when any hour of it is."""
    clears, calendar = judged.gate.clears_at, judged.calendar
    is_first = clears is not None and calendar.local(clears).date() == on
    morning = calendar.at(on, judged.rule.day_start if judged.rule else SEVEN)
    start = max(morning, calendar.local(clears)) if is_first and clears else morning
    answer = judge(judged.notice, place=place, rule=judged.rule, dig=PlannedDig(start, start))
    is_closed = calendar.is_closed(on)
    why = " ".join(reasons_in_words(answer))
    if answer.is_clear:
        word = _("dig from %s") % f"{start:%H:%M}" if start > morning else _("dig")
        return DigDay(on, True, is_closed, on == today, "dig", word, word)
    blocks = {reason.block for reason in answer.gate.reasons}
    if blocks & {Block.RAN_OUT, Block.ENDS_AFTER_IT_RUNS_OUT}:
        return DigDay(on, False, is_closed, on == today, "out", _("ran out"), why)
    word = _("closed") if is_closed else _("wait")
    return DigDay(on, False, is_closed, on == today, "wait", word, why)


def hand_dug_words(rule: NoticeRule | None, place: Property) -> str:
    """Return how near to a mark only hand tools dig, in the property's units, and who says so.

    A rule that is not confirmed counts too: its larger width is the safer one.
    """
    stated = rule.tolerance_in if rule else None
    beside_in = hand_dug_beside_in(stated)
    width = depth(beside_in, place)
    if rule is not None and stated == beside_in:
        return _(
            "Only hand tools, or others that do no harm, within %(width)s of the outside edges of "
            "what is marked: the rule of %(region)s."
        ) % {"width": width, "region": rule.region}
    return (
        _(
            "Only hand tools, or others that do no harm, within %s of the outside edges of what "
            "is marked: common practice. Ask the one-call centre (call 811) whether yours wants "
            "more."
        )
        % width
    )


def rule_sentence(rule: NoticeRule) -> str:
    """Return a rule's wait and life in one sentence."""
    wait = _("wait %(n)s %(unit)s") % {"n": rule.wait_n, "unit": rule.get_wait_unit_display()}
    life = (
        _("a ticket holds %(n)s %(unit)s from %(start)s")
        % {
            "n": rule.life_n,
            "unit": rule.get_life_unit_display(),
            "start": rule.get_life_from_display(),
        }
        if rule.life_n
        else _("no life of a ticket is stated")
    )
    return f"{wait}; {life}"
