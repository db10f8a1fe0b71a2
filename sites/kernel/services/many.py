"""One verb on many rows: each row by the very verb that its own page calls, and all of it undone.

Every row is done or refused by itself, with the verb's own guard, lock and history. All of them
are one transaction, so that a crash leaves either the whole act and its record, or nothing.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Generic, TypeVar

from django.db import transaction
from django.db.models import Model
from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from sites.kernel.services.history import history_of
from sites.kernel.services.sent_forms import KEPT_FOR
from sites.kernel.services.verbs import (
    UnableToAct,
    as_one_change,
    lock_and_refuse_if_changed,
    stamps_of,
)
from sites.models import TickedAct, User

M = TypeVar("M", bound=Model)

# More than a person looks over; and what one request does within a few seconds.
MOST_AT_ONCE = 500


class UnableToTakeBack(UnableToAct):
    """It was taken back already."""


@dataclass(frozen=True)
class Named(Generic[M]):
    """A ticked row, and how the user knows it."""

    row: M
    words: str
    url: str


def act_on_many(
    ticked: Sequence[Named[M]],
    *,
    act: str,
    do: Callable[[M], dict[str, Any]],
    keep: Callable[[M], dict[str, Any]],
    say: Callable[[int], str],
    missing: int,
    came_from: str,
    by: User,
    at: datetime,
) -> TickedAct:
    """Call a verb on each row and write down what was done and what was refused.

    Args:
        act: the name under which the act is declared.
        do: calls the verb on one row and returns what else its undo has to know; `UnableToAct`
            refuses that row alone.
        keep: what the undo has to know of a row, read before the act.
        say: the sentence for so many rows.
        missing: how many ticked rows are gone or not the user's to change.
    """
    with as_one_change():
        # All at once and in the order of their keys: two people never wait for each other.
        lock_and_refuse_if_changed([each.row for each in ticked], "")
        done, refused = _each(ticked, do, keep)
        stamps = stamps_of([each.row for each, _kept in done])
        refused += _missing(missing)
        return TickedAct.objects.create(
            user=by,
            act=act,
            at=at,
            came_from=came_from[:600],
            said=say(len(done)),
            done=[
                {**_known(each), "ref": _ref(each.row), "kept": kept, "stamp": stamps[each.row.pk]}
                for each, kept in done
            ],
            refused=refused,
        )


def _each(
    ticked: Sequence[Named[M]],
    do: Callable[[M], dict[str, Any]],
    keep: Callable[[M], dict[str, Any]],
) -> tuple[list[tuple[Named[M], dict[str, Any]]], list[dict[str, str]]]:
    done, refused = [], []
    for each in ticked:
        kept = keep(each.row)
        try:
            with transaction.atomic():
                kept |= do(each.row)
        except UnableToAct as refusal:
            refused.append({**_known(each), "why": str(refusal)})
        else:
            done.append((each, kept))
    return done, refused


def _known(each: Named[Any]) -> dict[str, str]:
    return {"words": each.words, "url": each.url}


def _ref(row: Any) -> str:
    ref: str = row.ref
    return ref


def _missing(count: int) -> list[dict[str, str]]:
    if not count:
        return []
    words = ngettext("%(n)s ticked row", "%(n)s ticked rows", count) % {"n": count}
    return [{"words": words, "url": "", "why": _("No longer there, or not yours to change.")}]


def take_back_many(
    ticked: TickedAct,
    rows: Mapping[str, M],
    *,
    undo: Callable[[M, dict[str, Any]], object],
    at: datetime,
) -> TickedAct:
    """Undo an act row by row; a row that was changed since keeps that change, with the reason.

    Args:
        rows: those that the user may still change, by `ref`.
        undo: calls the verb that takes it back on one row, with what was kept of it.

    Raises:
        UnableToTakeBack: it was taken back before.
    """
    with as_one_change():
        one = TickedAct.objects.select_for_update().get(pk=ticked.pk)
        if one.taken_back_at is not None:
            raise UnableToTakeBack(_("This was taken back already."))
        lock_and_refuse_if_changed(list(rows.values()), "")
        now = stamps_of(list(rows.values()))
        one.left = []
        for each in one.done:
            row = rows.get(each["ref"])
            why = _why_left(row, each, now)
            if not why and row is not None:
                why = _refusal_of(undo, row, each["kept"])
            if why:
                one.left.append({"words": each["words"], "url": each["url"], "why": why})
        one.taken_back_at = at
        one.save()
        return one


def _refusal_of(undo: Callable[[M, dict[str, Any]], object], row: M, kept: dict[str, Any]) -> str:
    """Undo, and return why it was refused; what it wrote until then is undone."""
    try:
        with transaction.atomic():
            undo(row, kept)
    except UnableToAct as refusal:
        return str(refusal)
    return ""


def _why_left(row: Model | None, each: dict[str, Any], now: Mapping[int, str]) -> str:
    if row is None:
        return _("No longer there, or not yours to change.")
    if now[row.pk] == each["stamp"]:
        return ""
    latest = history_of(row, most=1)[0]
    return _("Changed since by %(who)s (%(at)s), so it stays as it is now.") % {
        "who": latest.by or _("somebody"),
        "at": date_format(localtime(latest.at), "Y-m-d H:i"),
    }


def forget_ticked_acts(*, at: datetime, kept_for: timedelta = KEPT_FOR) -> int:
    """Delete records of acts of long ago; the histories of their rows stay."""
    deleted, _each = TickedAct.objects.filter(at__lt=at - kept_for).delete()
    return deleted
