"""What all verbs share: how one refuses, and how two people are kept from overwriting.

A verb is a keyword-only function decorated by `verb`, which keeps it in one table with its
guard and its undo; `verbs.md` prints that table. A verb changes rows by `save`, so that
history is kept, inside one transaction, and raises `UnableToAct` in the user's words.
"""

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, nullcontext
from contextvars import ContextVar
from dataclasses import dataclass
from functools import wraps
from typing import Any, ParamSpec, TypeVar

from django.db import connection, transaction
from django.db.models import Max, Model
from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.derived import derived_kept
from sites.kernel.services.history import Change, history_of
from sites.kernel.services.locking import Gone, lock_and_reload, locked

P = ParamSpec("P")
R = TypeVar("R")


class UnableToAct(Exception):
    """A guard refused. The message says why and what to do; `field` is the form's, if any."""

    def __init__(self, message: str, *, field: str | None = None) -> None:
        super().__init__(message)
        self.field = field


class ChangedMeanwhile(UnableToAct):
    """Another user changed the rows after this form was opened (optimistic locking)."""

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

_is_inside: ContextVar[bool] = ContextVar("is_inside_a_verb", default=False)


def verb(
    *, name: str, action: Action, guard: str, undo: str
) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Enter a function into the table of verbs and run it in one transaction.

    The rows that it is given are locked and read again first (`locking.py`).

    Args:
        name: as on the button, such as "fit a stopgap".
        guard: when it refuses, in words.
        undo: the verb that takes it back, or why nothing does.
    """

    def decorate(function: Callable[P, R]) -> Callable[P, R]:
        if name in VERBS:
            raise ValueError(f"Expected a new name of a verb, got {name!r} twice")
        VERBS[name] = Verb(name, action, guard, undo)

        @wraps(function)
        def run(*args: P.args, **kwargs: P.kwargs) -> R:
            with as_one_change(), _locked([*args, *kwargs.values()]):
                return function(*args, **kwargs)

        run.verb = VERBS[name]  # type: ignore[attr-defined]
        return run

    return decorate


@contextmanager
def _locked(given: Iterable[object]) -> Iterator[None]:
    try:
        token = locked.set(lock_and_reload(given))
    except Gone as gone:
        raise UnableToAct(str(gone)) from None
    try:
        yield
    finally:
        locked.reset(token)


@contextmanager
def as_one_change() -> Iterator[None]:
    """Run what is inside in one transaction, and rebuild derived rows once at its end.

    A verb inside another leaves that to the outermost one.
    """
    with transaction.atomic(), nullcontext() if _is_inside.get() else _outermost():
        yield


@contextmanager
def _outermost() -> Iterator[None]:
    token = _is_inside.set(True)
    try:
        with derived_kept():
            yield
    finally:
        _is_inside.reset(token)


def stamp_of(rows: Iterable[Model]) -> str:
    """Return what a form carries to say which state of the rows it was opened on."""
    return json.dumps(_latest(rows), sort_keys=True)


def stamps_of(rows: Sequence[Model]) -> dict[int, str]:
    """Return the stamp of each row alone, by its key: for pages with a form for each."""
    latest = _latest(rows)
    return {row.pk: json.dumps({_key(row): latest[_key(row)]}) for row in rows}


def lock_and_refuse_if_changed(rows: Sequence[Model], stamp: str) -> None:
    """Lock the rows, then refuse when their history is younger than the form's stamp.

    Call it inside a transaction, before the verb. An empty stamp (a form made by hand, a
    command) is not checked.

    Raises:
        ChangedMeanwhile: with what was changed, by whom.
    """
    if connection.features.has_select_for_update:
        for model, pks in _by_model(rows).items():
            # In one order everywhere, so that two people never wait for each other.
            list(model._base_manager.select_for_update().filter(pk__in=pks).order_by("pk"))
    if not stamp:
        return
    try:
        seen = {str(key): int(value) for key, value in json.loads(stamp).items()}
    except (ValueError, AttributeError, TypeError, OverflowError, RecursionError):
        seen = {}  # made by hand: as if nothing of the rows had been seen
    changes: list[Change] = []
    latest = _latest(rows)
    # Who opened the form may change the row: nothing of it is hidden.
    for row in rows:
        known = seen.get(_key(row), 0)
        if latest[_key(row)] > known:
            changes += [
                change for change in history_of(row, most=20, for_few=True) if change.id > known
            ]
    if changes:
        raise ChangedMeanwhile(changes)


def _key(row: Model) -> str:
    return f"{row._meta.label_lower}:{row.pk}"


def _by_model(rows: Iterable[Model]) -> dict[type[Model], list[int]]:
    found: dict[type[Model], list[int]] = {}
    for row in rows:
        found.setdefault(type(row), []).append(row.pk)
    return dict(sorted(found.items(), key=lambda each: each[0]._meta.label_lower))


def _latest(rows: Iterable[Model]) -> dict[str, int]:
    """One query for each table, because a form may watch all stations of a controller."""
    found: dict[str, int] = {}
    for model, pks in _by_model(rows).items():
        label = model._meta.label_lower
        history: Any = model.history  # type: ignore[attr-defined]
        newest = history.filter(id__in=pks).order_by().values_list("id").annotate(Max("history_id"))
        found |= {f"{label}:{pk}": 0 for pk in pks} | {f"{label}:{pk}": n for pk, n in newest}
    return found
