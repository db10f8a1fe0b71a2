"""Rotas to plan, made up from a seed, and a slow planner that tries every plan there is."""

from itertools import permutations, product
from math import ceil, dist
from random import Random

from faults.rota.engines.planning import Plan
from faults.rota.engines.problem import Problem, Shift, ShiftKey, Task

STARTS, ENDS = 450, 930


def small(seed: int, *, jobs: int = 5, crews: int = 2, days: int = 2) -> Problem:
    """Return a small rota with every rule in it: two yards, skill, gear, hours, locks, promises."""
    draw = Random(seed)
    spots = [(draw.uniform(0, 90), draw.uniform(0, 90)) for _ in range(jobs + 2)]
    spots[2 + draw.randrange(jobs)] = spots[2]
    keys = [ShiftKey(crew, day) for crew in range(crews) for day in range(days)]
    gear = [frozenset(draw.sample(["locator", "digger"], draw.randint(0, 2))) for _ in range(crews)]
    skills = [draw.randint(1, 3) for _ in range(crews)]
    shifts = [
        Shift(
            key, STARTS, ENDS - 60 * (key.crew % 2), skills[key.crew], key.crew % 2, gear[key.crew]
        )
        for key in keys
        if draw.random() < 0.9
    ]
    return Problem(shifts, [_job(draw, n, days, keys) for n in range(jobs)], _travel(spots))


def _job(draw: Random, number: int, days: int, keys: list[ShiftKey]) -> Task:
    first = draw.randint(0, days - 1)
    hours = draw.choice([((0, 1440),), ((450, 690),), ((480, 600), (780, 900))])
    lock = draw.choice(keys) if draw.random() < 0.15 else None
    return Task(
        number,
        draw.randint(30, 240),
        2 + number,
        draw.choice([20, 60, 250, 500]),
        draw.randint(1, 3),
        first,
        draw.choice([None, draw.randint(first, days - 1)]),
        hours,
        {0: ()} if draw.random() < 0.1 else {},
        frozenset({"digger"}) if draw.random() < 0.2 else frozenset(),
        locked=lock,
        promised=draw.choice(keys) if lock is None and draw.random() < 0.4 else None,
        promised_at=draw.choice([None, draw.randint(480, 720)]),
        moving=draw.choice([0, 30, 90]),
    )


def town(seed: int, *, jobs: int, crews: int, days: int, shortest: int, longest: int) -> Problem:
    """Return a rota over one town: two jobs a property, most at any hour, some by half days."""
    draw = Random(seed)
    places = [(draw.uniform(0, 60), draw.uniform(0, 60)) for _ in range(max(1, jobs // 2))]
    spots = [(30.0, 30.0), *(draw.choice(places) for _ in range(jobs))]
    shifts = [
        Shift(ShiftKey(crew, day), STARTS, ENDS, [1, 2, 3, 3][crew % 4], 0)
        for crew in range(crews)
        for day in range(days)
    ]
    tasks = []
    for number in range(jobs):
        half = draw.choice([((STARTS, 690),), ((690, ENDS),)])
        first = draw.choice([0, 0, 0, 1]) if days > 1 else 0
        tasks.append(
            Task(
                number,
                draw.randint(shortest, longest),
                number + 1,
                draw.choice([250, 500, 1000, 2000]),
                draw.choice([1, 1, 2, 3]),
                first,
                days - 1,
                ((STARTS, ENDS),) if draw.random() < 0.6 else half,
            )
        )
    return Problem(shifts, tasks, _travel(spots))


def _travel(spots: list[tuple[float, float]]) -> list[list[int]]:
    return [[0 if a == b else ceil(dist(a, b) * 0.6 + 4) for b in spots] for a in spots]


def cheapest(problem: Problem) -> int:
    """Return the least objective of all plans, by trying every shift for every job.

    Written apart from the product: no label, no set, no integer programme. Locks first: of the
    plans that break the fewest, the cheapest.
    """
    driving = {
        (shift.key, keys): _shortest(problem, shift, keys)
        for shift in problem.shifts
        for keys in _subsets([task.key for task in problem.tasks])
    }
    best: tuple[int, int] | None = None
    choices = [[None, *(shift.key for shift in problem.shifts)] for _ in problem.tasks]
    for chosen in product(*choices):
        broken = cost = 0
        for task, key in zip(problem.tasks, chosen, strict=True):
            if key is None:
                cost += task.penalty
                broken += task.locked is not None
            elif task.promised is not None and task.promised != key:
                cost += task.moving
        for shift in problem.shifts:
            keys = tuple(
                task.key
                for task, key in zip(problem.tasks, chosen, strict=True)
                if key == shift.key
            )
            minutes = driving[shift.key, keys]
            if minutes is None:
                break
            cost += minutes
        else:
            best = min(best or (broken, cost), (broken, cost))
    assert best is not None
    return best[1]


def _subsets(keys: list[int]) -> list[tuple[int, ...]]:
    return [
        tuple(key for bit, key in enumerate(keys) if number >> bit & 1)
        for number in range(1 << len(keys))
    ]


def _shortest(problem: Problem, shift: Shift, keys: tuple[int, ...]) -> int | None:
    """Return the least driving over these jobs in any order that keeps every rule; None if none."""
    found = [
        minutes
        for order in permutations(keys)
        if (minutes := driven(problem, shift, order)) is not None
    ]
    return min(found, default=None)


def driven(problem: Problem, shift: Shift, order: tuple[int, ...]) -> int | None:
    """Return the minutes on the road of one shift in one order; None if a rule is broken."""
    now, at, road = shift.starts, shift.place, 0
    for key in order:
        task = problem.by_key[key]
        if task.skill > shift.skill or task.gear - shift.gear:
            return None
        if task.locked is not None and task.locked != shift.key:
            return None
        if shift.key.day < task.first_day:
            return None
        if task.last_day is not None and shift.key.day > task.last_day:
            return None
        road += problem.travel[at][task.place]
        now += problem.travel[at][task.place]
        windows = task.windows.get(shift.key.day, task.always)
        if task.promised == shift.key and task.promised_at is not None:
            windows = ((task.promised_at, task.promised_at + task.minutes),)
        able = [
            max(now, opens) for opens, closes in windows if max(now, opens) + task.minutes <= closes
        ]
        if not able:
            return None
        now, at = min(able) + task.minutes, task.place
    back = problem.travel[at][shift.place] if order else 0
    return road + back if now + back <= shift.ends else None


def checked(problem: Problem, plan: Plan) -> None:
    """Assert that a plan keeps every rule and adds up to its objective."""
    had: list[int] = []
    cost = 0
    assert len({route.shift for route in plan.routes}) == len(plan.routes)
    for route in plan.routes:
        shift = problem.shift_at[route.shift]
        assert driven(problem, shift, route.keys) == route.driving
        had += route.keys
        cost += route.driving
        cost += sum(problem.by_key[key].moved_cost(route.shift) for key in route.keys)
        for key, start in route.stops:
            task = problem.by_key[key]
            windows = task.windows.get(route.shift.day, task.always)
            if task.promised == route.shift and task.promised_at is not None:
                windows = ((task.promised_at, task.promised_at + task.minutes),)
            assert any(a <= start and start + task.minutes <= b for a, b in windows)
        ends = [start + problem.by_key[key].minutes for key, start in route.stops]
        for (key, start), (before, _), end in zip(route.stops[1:], route.stops, ends, strict=False):
            leg = problem.travel[problem.by_key[before].place][problem.by_key[key].place]
            assert end + leg <= start
    assert len(had) == len(set(had))
    assert sorted([*had, *plan.left_out]) == sorted(task.key for task in problem.tasks)
    cost += sum(problem.by_key[key].penalty for key in plan.left_out)
    assert plan.objective == cost
    assert plan.bound <= plan.objective
