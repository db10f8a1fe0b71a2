"""Made-up weeks of a contractor: crews, jobs and promises of a town, each from a seed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, dist
from random import Random

from faults.rota.engines.instance import PENALTY_MIN
from faults.rota.engines.problem import Problem, Shift, ShiftKey, Task
from faults.rota.engines.routes import starts_of
from faults.rota.engines.weighing import Waiting, weight

DAYS = 5
_GEAR = ("locator", "digger")
# Priorities as people give them, minutes of short and of long visits.
_PRIORITIES = (1, 2, 2, 2, 3, 3, 4)
_MINUTES = ((30, 60), (60, 120), (120, 240))


@dataclass(frozen=True)
class Week:
    """A made-up week.

    Args:
        priority, age_days: of each job, by its key.
        promised: the last day that somebody was promised, of those who were.
    """

    problem: Problem
    priority: Mapping[int, int]
    age_days: Mapping[int, int]
    promised: Mapping[int, int]


def made_up(seed: int) -> Week:
    """Return the week of a seed."""
    draw = Random(seed)
    crews = draw.randint(2, 4)
    spread = draw.uniform(25, 60)
    places = [(draw.uniform(0, spread), draw.uniform(0, spread)) for _ in range(crews * 6)]
    shifts = _shifts(draw, crews)
    minutes = sum(shift.ends - shift.starts for shift in shifts)
    tasks: list[Task] = []
    spots = [(spread / 2, spread / 2)]
    priority, age, promised = {}, {}, {}
    while sum(task.minutes for task in tasks) < minutes * 0.9:
        key = len(tasks)
        spots.append(draw.choice(places))
        priority[key] = draw.choice(_PRIORITIES)
        age[key] = min(120, int(draw.expovariate(1 / 15)))
        if draw.random() < 0.3:
            promised[key] = draw.randint(0, DAYS - 1)
        water = draw.choice([None, None, 0.0, draw.expovariate(1 / 400)])
        weighs = weight(PENALTY_MIN[priority[key]], Waiting(age[key], water))
        tasks.append(_job(draw, key, weighs, shifts, promised.get(key)))
    travel = [[0 if a == b else ceil(dist(a, b) * 0.9 + 4) for b in spots] for a in spots]
    return Week(_without_clashes(Problem(shifts, tasks, travel)), priority, age, promised)


def _shifts(draw: Random, crews: int) -> list[Shift]:
    found = []
    for crew in range(crews):
        starts = draw.choice([420, 450, 480])
        hours, gear = draw.choice([7, 8, 9]), {each for each in _GEAR if draw.random() < 0.7}
        # One crew can do all: else many a job is nobody's.
        skill = 3 if crew == 0 else draw.randint(1, 3)
        gear |= set(_GEAR) if crew == 0 else set()
        for day in range(DAYS):
            if draw.random() < 0.93:
                key = ShiftKey(crew, day)
                found.append(Shift(key, starts, starts + 60 * hours, skill, 0, frozenset(gear)))
    return found


def _job(
    draw: Random, key: int, weighs: int, shifts: Sequence[Shift], promised: int | None
) -> Task:
    first = draw.choice([0, 0, 0, 0, 1, 2]) if promised is None else 0
    return Task(
        key,
        draw.randint(*draw.choice(_MINUTES)),
        key + 1,
        weighs,
        draw.choice([1, 1, 2, 2, 3]),
        first,
        draw.choice([None, None, draw.randint(first, DAYS - 1)]),
        draw.choice([((0, 1440),), ((0, 1440),), ((420, 720),), ((720, 1080),)]),
        {draw.randrange(DAYS): ()} if draw.random() < 0.1 else {},
        frozenset({draw.choice(_GEAR)}) if draw.random() < 0.25 else frozenset(),
        locked=draw.choice(shifts).key if promised is None and draw.random() < 0.12 else None,
    )


def _without_clashes(problem: Problem) -> Problem:
    """Take out the locks that cannot be kept: no dispatcher would have given them."""
    by_shift: dict[ShiftKey, list[int]] = {}
    tasks = []
    for task in problem.tasks:
        there = [*by_shift.get(task.locked, []), task.key] if task.locked else []
        if task.locked and in_order(problem, problem.shift_at[task.locked], there) is None:
            continue
        if task.locked:
            by_shift[task.locked] = there
        tasks.append(task)
    return Problem(problem.shifts, tasks, problem.travel)


def in_order(problem: Problem, shift: Shift, keys: Sequence[int]) -> list[int] | None:
    """Return jobs by when their windows end, if they can be done so."""
    order = sorted(keys, key=lambda key: (problem.by_key[key].always[0][1], key))
    return order if starts_of(problem, shift, order) is not None else None
