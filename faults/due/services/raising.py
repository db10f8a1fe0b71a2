"""Raise what falls due by rule, each once; move it with its rule; let go what lost its cause.

Due work is found, not remembered: every round looks at all causes, in chunks, each in a short
transaction of its own. Two rounds at once, or a round that dies in the middle, do no harm: what
a rule raises is unique by kind and cause, and the next round finds what is still missing.
"""

from collections import Counter
from collections.abc import Callable, Iterator
from datetime import datetime

from django.conf import settings
from django.db import IntegrityError, transaction
from simple_history.utils import bulk_create_with_history, bulk_update_with_history

from faults.due.services import (
    central,
    checkups,
    clients,
    mends,
    notices,
    promises,
    soaking,
    stays_on,
    stopgaps,
)
from faults.due.services.family import Candidate, Family, Told
from faults.due.services.rules import rules_now
from faults.models import FollowUp, FollowUpState

FAMILIES: list[Family] = [
    *stopgaps.FAMILIES,
    *mends.FAMILIES,
    *soaking.FAMILIES,
    *notices.FAMILIES,
    *clients.FAMILIES,
    *checkups.FAMILIES,
    *promises.FAMILIES,
    *stays_on.FAMILIES,
    *central.FAMILIES,
]
RAISED, MOVED, LAPSED, BACK = "raised", "moved", "lapsed", "came back"
CHANGED = ["state", "due_on", "ruled_on", "sequence"]


def _nothing() -> None:
    """Nobody has to know that the round is alive."""


def raise_by_rules(*, at: datetime, go_on: Callable[[], None] = _nothing) -> dict[str, int]:
    """Bring all follow-ups that rules raise up to date.

    Args:
        go_on: called between chunks, to tell that this round is alive.

    Returns:
        How many were raised, moved, came back or lapsed.
    """
    done: Counter[str] = Counter()
    rules = rules_now()
    for family in FAMILIES:
        rule = rules[family.kind]
        told = Told(rule.days, at)
        if rule.is_on:
            for rows in family.chunks(settings.FOLLOW_UP_CHUNK):
                done += _raise_once(family, family.candidates(rows, told), told)
                go_on()
        for keys in _open_ones(family):
            done += _review(family, keys, told, is_on=rule.is_on)
            go_on()
    return dict(done)


def _raise_once(family: Family, found: list[Candidate], told: Told) -> Counter[str]:
    """Of two processes at the same cause, the second finds it raised when it looks again."""
    wanted = {each.cause: each for each in found if _is_near(family, each, told)}
    try:
        return _raise(family, wanted, told)
    except IntegrityError:
        return _raise(family, wanted, told)


def _is_near(family: Family, one: Candidate, told: Told) -> bool:
    if one.due_on is None:
        return True
    ahead = (one.due_on - told.today(one.time_zone)).days
    late = family.late_days
    return ahead <= settings.FOLLOW_UP_AHEAD_DAYS and (late is None or ahead >= -late)


@transaction.atomic
def _raise(family: Family, wanted: dict[str, Candidate], told: Told) -> Counter[str]:
    known = FollowUp.objects.filter(kind=family.kind, cause__in=wanted)
    states = dict(known.order_by("pk").values_list("cause", "state"))
    new = [_made(family, one, told) for cause, one in wanted.items() if cause not in states]
    if new:
        bulk_create_with_history(new, FollowUp, default_change_reason="raised by its rule")
    gone = [cause for cause, state in states.items() if state == FollowUpState.LAPSED]
    back = list(known.select_for_update().filter(cause__in=gone, state=FollowUpState.LAPSED))
    for row in back:
        _follow(row, wanted[row.cause])
        row.state, row.sequence = FollowUpState.OPEN, row.sequence + 1
    _keep(back, "its cause is there again")
    return Counter({RAISED: len(new), BACK: len(back)})


def _made(family: Family, one: Candidate, told: Told) -> FollowUp:
    day = one.due_on or told.today(one.time_zone)
    return FollowUp(
        kind=family.kind.value,
        cause=one.cause,
        property_id=one.property_id,
        due_on=day,
        ruled_on=day,
        **one.links,
    )


def _open_ones(family: Family) -> Iterator[list[int]]:
    rows = FollowUp.objects.open().filter(kind=family.kind).exclude(cause="").order_by("pk")
    last = 0
    size = settings.FOLLOW_UP_CHUNK
    while keys := list(rows.filter(pk__gt=last).values_list("pk", flat=True)[:size]):
        yield keys
        last = keys[-1]


@transaction.atomic
def _review(family: Family, keys: list[int], told: Told, *, is_on: bool) -> Counter[str]:
    """Look at open ones again: is the cause there, and is the day still the rule's?"""
    rows = FollowUp.objects.open().filter(pk__in=keys).select_for_update().order_by("pk")
    held = list(rows)
    alive = family.of_causes([row.cause for row in held], told) if is_on else {}
    moved, lapsed = [], []
    for row in held:
        one = alive.get(row.cause)
        if one is None:
            row.state, row.sequence = FollowUpState.LAPSED, row.sequence + 1
            lapsed.append(row)
        elif _follow(row, one):
            row.sequence += 1
            moved.append(row)
    _keep(moved, "its rule's day changed")
    _keep(lapsed, "its cause is gone" if is_on else "its rule is off")
    return Counter({MOVED: len(moved), LAPSED: len(lapsed)})


def _follow(row: FollowUp, one: Candidate) -> bool:
    """Take the rule's day, unless a person moved it: then the day is theirs."""
    is_theirs = row.due_on != row.ruled_on
    if one.due_on is None or is_theirs or row.due_on == one.due_on:
        return False
    row.due_on = row.ruled_on = one.due_on
    return True


def _keep(rows: list[FollowUp], why: str) -> None:
    if rows:
        bulk_update_with_history(rows, FollowUp, CHANGED, default_change_reason=why)
