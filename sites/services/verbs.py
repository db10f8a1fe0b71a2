"""What all verbs share: how one refuses, and how two people are kept from overwriting.

A verb is a keyword-only function decorated by `verb`, which keeps it in one table with its
guard and its undo; DEVELOPERS.md prints that table. A verb changes rows by `save`, so that
history is kept, inside one transaction, and raises `UnableToAct` in the user's words.
"""

import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, ParamSpec, TypeVar

from django.db import connection, transaction
from django.db.models import Model
from django.utils.translation import gettext as _

from sites.engines.roles import Action
from sites.services.history import Change, history_of

P = ParamSpec("P")
R = TypeVar("R")


class UnableToAct(Exception):
    """A guard refused. The message says why and what to do; `field` is the form's, if any."""

    def __init__(self, message: str, *, field: str | None = None) -> None:
        super().__init__(message)
        self.field = field


class ChangedMeanwhile(UnableToAct):
    """Somebody else changed the rows after this form was opened."""

    def __init__(self, changes: Sequence[Change]) -> None:
        super().__init__(
            _(
                "Somebody changed this while your form was open. What you typed is kept below: "
                "compare, then send it again."
            )
        )
        self.changes = changes


@dataclass(frozen=True)
class Verb:
    """A line of the table of verbs."""

    name: str
    action: Action
    guard: str
    undo: str


VERBS: dict[str, Verb] = {}


def verb(
    *, name: str, action: Action, guard: str, undo: str
) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Enter a function into the table of verbs and run it in one transaction.

    Args:
        name: as on the button, such as "fit a stopgap".
        guard: when it refuses, in words.
        undo: the verb that takes it back, or why nothing does.
    """

    def decorate(function: Callable[P, R]) -> Callable[P, R]:
        if name in VERBS:
            raise ValueError(f"Expected a new name of a verb, got {name!r} twice")
        VERBS[name] = Verb(name, action, guard, undo)
        return transaction.atomic(function)

    return decorate


def stamp_of(rows: Iterable[Model]) -> str:
    """Return what a form carries to say which state of the rows it was opened on."""
    return json.dumps({_key(row): _latest(row) for row in rows}, sort_keys=True)


def lock_and_refuse_if_changed(rows: Sequence[Model], stamp: str) -> None:
    """Lock the rows, then refuse when their history is younger than the form's stamp.

    Call it inside a transaction, before the verb. An empty stamp (a form made by hand, a
    command) is not checked.

    Raises:
        ChangedMeanwhile: with what was changed, by whom.
    """
    if connection.features.has_select_for_update:
        for row in rows:
            type(row)._base_manager.select_for_update().filter(pk=row.pk).first()
    if not stamp:
        return
    try:
        seen = {str(key): int(value) for key, value in json.loads(stamp).items()}
    except (ValueError, AttributeError, TypeError):
        seen = {}
    changes: list[Change] = []
    for row in rows:
        known = seen.get(_key(row), 0)
        if _latest(row) > known:
            changes += [change for change in history_of(row, most=20) if change.id > known]
    if changes:
        raise ChangedMeanwhile(changes)


def _key(row: Model) -> str:
    return f"{row._meta.label_lower}:{row.pk}"


def _latest(row: Any) -> int:
    newest: int | None = (
        row.history.order_by("-history_id").values_list("history_id", flat=True).first()
    )
    return newest or 0
