"""The action of a verb is that of each page and of each phone item that calls it.

Three places name it: `@verb`, `@page_for` and `@kind`. A page that asks for less than its verb
would open a door; one that asks for more would hide a button that works on the phone.
"""

import dis
from collections.abc import Iterator
from inspect import ismodule
from itertools import pairwise, takewhile
from types import CodeType, FunctionType
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver

from faults.cases.engines.stages import MOVES, Stage
from faults.sheet.services import inbox as _inbox  # noqa: F401  (fills KINDS)
from faults.sheet.services.told import KINDS
from sites.kernel.engines.roles import Action, roles_with
from sites.kernel.services.verbs import VERBS, Verb
from sites.kernel.views.verb_views import VerbView

OUR_CODE = ("sites.", "faults.", "reports.")
# Callers whose verb asks for another action, each with what holds the door in its place.
ON_PURPOSE = {
    # The table of stages names who may make each move: scheduling is the office's there too.
    ("faults.casework.views.moves.Move", "schedule a visit of a crew"),
    # A photo of a visit may show a break; those who work jobs may add photos as well (asserted).
    ("photo", "add a photo of a fault"),
    # A client's user answers what the office sent, as who has its private address does: a right of
    # its own, and the office stands for what follows.
    ("faults.quotes.views.own_answers.own_answer", "answer a quote"),
    # Who digs was agreed at the hole: it becomes something for the office to do, by any role.
    ("digs", "note something to do"),
    # A wire that read sound opens its return for the crew that stands there, on that day: who may
    # move the fault may go on with it, and nobody is sent anywhere.
    ("home", "plan a job"),
    ("home", "assign a job"),
}


def _used(function: FunctionType) -> Iterator[Any]:
    """Yield what a function, and the functions inside it, use of their module's globals."""
    codes = [function.__code__]
    for code in codes:
        codes += [each for each in code.co_consts if isinstance(each, CodeType)]
        steps = list(dis.get_instructions(code))
        for step, after in pairwise(steps):
            if step.opname == "LOAD_GLOBAL":
                used = function.__globals__.get(step.argval)
                # `verbs.move_point`: what is used is the attribute of the module.
                yield getattr(used, str(after.argval), None) if ismodule(used) else used


def _of_class(view: type[VerbView[Any]], seen: set[Any]) -> Iterator[Verb]:
    """Yield the verbs of a declared page: those it names, and those its own methods call."""
    for each in takewhile(lambda each: each is not VerbView, view.__mro__):
        for used in vars(each).values():
            yield from _verbs_called(getattr(used, "func", getattr(used, "fget", used)), seen)


def _verbs_called(function: Any, seen: set[Any]) -> Iterator[Verb]:
    """Yield the verbs that a function leads to, through helpers but not through other verbs."""
    if view := getattr(function, "view_class", None):
        yield from _of_class(view, seen)
        return
    while hasattr(function, "__wrapped__") and not hasattr(function, "verb"):
        function = function.__wrapped__
    if not isinstance(function, FunctionType) or function in seen:
        return
    seen.add(function)
    if found := getattr(function, "verb", None):
        yield found
    elif function.__module__.startswith(OUR_CODE):
        for used in _used(function):
            yield from _verbs_called(used, seen)


def _views(patterns: list[Any]) -> Iterator[Any]:
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            yield from _views(pattern.url_patterns)
        elif isinstance(pattern, URLPattern):
            yield pattern.callback


def _pages() -> dict[str, tuple[Action, Any]]:
    views = [view for view in _views(get_resolver().url_patterns) if hasattr(view, "asks_for")]
    return {f"{view.__module__}.{view.__name__}": (view.asks_for, view) for view in views}


def _pairs(callers: dict[str, tuple[Action, Any]]) -> list[tuple[str, Action, Verb]]:
    return [
        (name, action, verb)
        for name, (action, function) in callers.items()
        for verb in _verbs_called(function, set())
    ]


def _disagreeing(pairs: list[tuple[str, Action, Verb]]) -> set[tuple[str, str]]:
    return {(name, verb.name) for name, action, verb in pairs if action is not verb.action}


def _phone_items() -> dict[str, tuple[Action, Any]]:
    return {name: (kind.action, kind.take) for name, kind in KINDS.items()}


def test_every_verb_is_reached_by_a_page() -> None:
    assert set(VERBS) - {verb.name for _, _, verb in _pairs(_pages())} == set()


def test_every_item_of_a_phone_leads_to_a_verb_but_the_ticked_list() -> None:
    assert set(KINDS) - {name for name, _, _ in _pairs(_phone_items())} == {"looked"}


def test_pages_and_phone_items_ask_for_the_action_of_the_verb_that_they_call() -> None:
    assert _disagreeing(_pairs(_pages()) + _pairs(_phone_items())) == ON_PURPOSE


def test_all_who_work_jobs_may_add_photos() -> None:
    assert roles_with(Action.WORK_JOBS) <= roles_with(Action.ADD_PHOTOS)


def test_moves_to_scheduled_are_for_those_who_plan_jobs() -> None:
    to_scheduled = [move for move in MOVES if move.end is Stage.SCHEDULED]
    assert len(to_scheduled) > 1
    for move in to_scheduled:
        assert move.roles <= roles_with(Action.PLAN_JOBS)
