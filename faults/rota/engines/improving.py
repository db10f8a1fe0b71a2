"""A good plan soon, by local search (PyVRP): where to start when the sets are too many to list."""

from collections.abc import Sequence
from typing import Any

from faults.rota.engines.choosing import weights
from faults.rota.engines.clock import Clock
from faults.rota.engines.orders import able, mended
from faults.rota.engines.problem import Problem, Task
from faults.rota.engines.routes import Kind, Route, route_of

_DAY_MIN = 24 * 60
# More than any plan costs: a pair of places between which a kind of shift may not drive.
_CLOSED = 10**7


def improved(
    problem: Problem, kinds: Sequence[Kind], clock: Clock, *, seed: int = 1
) -> list[Route]:
    """Return the routes of a good plan; all of them can be driven.

    The search knows nothing of jobs that come before others: that is mended in what it finds.

    Args:
        clock: it searches until that is over.
        seed: the same seed finds the same where the machine is as fast.
    """
    if not any(kind.tasks for kind in kinds):
        return []
    model, task_of = _model(problem, kinds)
    result = model.solve(
        lambda _best: clock.is_over(), seed=seed, display=False, missing_value=_CLOSED
    )
    found = []
    for route in result.best.routes():
        number = route.vehicle_type()
        order = tuple(task_of[stop.idx] for stop in route.schedule() if stop.is_client())
        if made := route_of(problem, kinds[number], number, able(problem, order)):
            found.append(made)
    return mended(problem, kinds, with_locks(problem, kinds, found))


def with_locks(problem: Problem, kinds: Sequence[Kind], routes: Sequence[Route]) -> list[Route]:
    """Return the routes with every locked job that can be had; others give way to it.

    A search that is stopped soon may have left one out.
    """
    by_kind: dict[int, list[Route]] = {}
    for route in routes:
        by_kind.setdefault(route.kind, []).append(route)
    for number, kind in enumerate(kinds):
        locked = [task.key for task in kind.tasks if task.locked is not None]
        # A shift to which a job is locked is like no other: it has one route at most.
        order = by_kind[number][0].order if locked and number in by_kind else ()
        for key in locked:
            if key not in order:
                order = _with_one(problem, kind, number, order, key)
        if locked and (made := route_of(problem, kind, number, order)):
            by_kind[number] = [made]
    return [route for some in by_kind.values() for route in some]


def _with_one(
    problem: Problem, kind: Kind, number: int, order: tuple[int, ...], key: int
) -> tuple[int, ...]:
    """Return an order with one more job, those that weigh the least taken out until it fits; as it
    was where it never does."""
    kept = list(order)
    while True:
        able = [
            made
            for at in range(len(kept) + 1)
            if (made := route_of(problem, kind, number, (*kept[:at], key, *kept[at:])))
        ]
        if able:
            return min(able, key=lambda made: (made.cost, made.order)).order
        free = [each for each in kept if problem.by_key[each].locked is None]
        if not free:
            return order
        kept.remove(min(free, key=lambda each: (problem.by_key[each].penalty, each)))


def _model(problem: Problem, kinds: Sequence[Kind]) -> tuple[Any, list[int]]:
    """Return the search's own model, and which job each of its stops is."""
    import pyvrp

    model = pyvrp.Model()
    yards = {place: model.add_location(0, 0) for place in {k.pattern.place for k in kinds}}
    depots = {place: model.add_depot(at) for place, at in yards.items()}
    spots = {task.key: model.add_location(0, 0) for task in problem.tasks}
    for kind in kinds:
        shift = kind.pattern
        profile, yard = model.add_profile(), yards[shift.place]
        for task in kind.tasks:
            _edges(model, problem, kind, task, profile, yard, spots)
        model.add_vehicle_type(
            num_available=len(kind.shifts),
            start_depot=depots[shift.place],
            end_depot=depots[shift.place],
            tw_early=shift.key.day * _DAY_MIN + shift.starts,
            tw_late=shift.key.day * _DAY_MIN + shift.ends,
            profile=profile,
        )
    weigh, task_of = weights(problem), []
    for task in problem.tasks:
        spans = _spans(task, kinds)
        group = model.add_client_group(required=False) if len(spans) > 1 else None
        for early, late in spans:
            model.add_client(
                spots[task.key],
                service_duration=task.minutes,
                tw_early=early,
                tw_late=late,
                prize=weigh[task.key],
                required=False,
                group=group,
            )
            task_of.append(task.key)
    return model, task_of


def _edges(
    model: Any, problem: Problem, kind: Kind, task: Task, profile: Any, yard: Any, spots: Any
) -> None:
    """Add the drives to a job from the yard and all others, and back to the yard.

    A broken promise costs as much as a longer drive to the job.
    """
    shift, travel = kind.pattern, problem.travel
    moved = task.moved_cost(shift.key)
    there, back = travel[shift.place][task.place], travel[task.place][shift.place]
    model.add_edge(yard, spots[task.key], there + moved, there, profile)
    model.add_edge(spots[task.key], yard, back, back, profile)
    for other in kind.tasks:
        if other.key != task.key:
            leg = travel[other.place][task.place]
            model.add_edge(spots[other.key], spots[task.key], leg + moved, leg, profile)


def _spans(task: Task, kinds: Sequence[Kind]) -> list[tuple[int, int]]:
    """Return the minutes since the first day between which it may start.

    Two spans are one where nobody works between them: the search is better with fewer choices.
    """
    works = [
        (
            k.pattern.key.day * _DAY_MIN + k.pattern.starts,
            k.pattern.key.day * _DAY_MIN + k.pattern.ends - task.minutes,
        )
        for k in kinds
    ]
    found: list[tuple[int, int]] = []
    for early, late in _able(task, kinds):
        last = found[-1][1] if found else -1
        if found and (early <= last or not any(a < early and b > last for a, b in works)):
            found[-1] = (found[-1][0], max(late, last))
        else:
            found.append((early, late))
    return found


def _able(task: Task, kinds: Sequence[Kind]) -> list[tuple[int, int]]:
    """Return the spans of every kind of shift, in order. A span of one kind may stand in another's:
    what the search then finds that breaks a rule is left out by who reads it."""
    return sorted(
        {
            (shift.day * _DAY_MIN + opens, shift.day * _DAY_MIN + closes - task.minutes)
            for shift in (kind.pattern.key for kind in kinds)
            for opens, closes in task.on(shift)
            if closes - opens >= task.minutes
        }
    )
