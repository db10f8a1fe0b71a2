"""The rota against dispatching by hand rules, on made-up weeks of a contractor.

    uv run python -m tests.bench.bench_weeks                    50 weeks, 10 s of planning each
    uv run python -m tests.bench.bench_weeks --weeks 5 --seconds 2

Each week has its own town, crews with their hours, skill and gear, and jobs with priorities, age,
days, opening hours, locks and promised days; about one job in five has no room. The rota is the
product's own, asked as *Suggest* asks it. Who dispatches by hand fills the days in order, the
crews in turn, and always takes the next job by one rule of those that still fit; every rule of
crews and jobs holds for it too, checked by the product's own engine, and what is locked keeps its
room. Ways by hand: the nearest job, the oldest, or the most urgent first (its priority, then who
was promised soonest, then the nearest).

Bars: over all weeks the rota leaves out less weight, keeps more promises and does no fewer jobs
than each way by hand.
"""

import argparse
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, dist
from random import Random
from statistics import mean
from time import perf_counter

from faults.rota.engines.instance import PENALTY_MIN
from faults.rota.engines.keeping import plan_keeping
from faults.rota.engines.problem import Problem, Shift, ShiftKey, Task
from faults.rota.engines.routes import driving_of, starts_of
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


@dataclass(frozen=True)
class Score:
    """What a week of work came to.

    Args:
        driving: minutes on the road.
        done: how many jobs.
        left_min: what was left out, by the minutes that it weighs.
        first_left: jobs of the two highest priorities that were left out.
        kept, late: promises.
    """

    driving: int
    done: int
    left_min: int
    first_left: int
    kept: int
    late: int

    @property
    def whole(self) -> int:
        """What the rota makes smallest."""
        return self.driving + self.left_min

    @property
    def per_job(self) -> float:
        """Minutes on the road for a job."""
        return self.driving / max(1, self.done)


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
        if task.locked and _ordered(problem, problem.shift_at[task.locked], there) is None:
            continue
        if task.locked:
            by_shift[task.locked] = there
        tasks.append(task)
    return Problem(problem.shifts, tasks, problem.travel)


def _ordered(problem: Problem, shift: Shift, keys: Sequence[int]) -> list[int] | None:
    """Return jobs by when their windows end, if they can be done so."""
    order = sorted(keys, key=lambda key: (problem.by_key[key].always[0][1], key))
    return order if starts_of(problem, shift, order) is not None else None


Rule = Callable[[Week, int, int], tuple[int, ...]]


def nearest(_week: Week, key: int, leg: int) -> tuple[int, ...]:
    """The nearest job first."""
    return leg, key


def oldest(week: Week, key: int, leg: int) -> tuple[int, ...]:
    """The oldest job first."""
    return -week.age_days[key], leg, key


def most_urgent(week: Week, key: int, leg: int) -> tuple[int, ...]:
    """The highest priority first, then who was promised soonest, then the nearest."""
    return -week.priority[key], week.promised.get(key, DAYS), leg, key


BY_HAND: dict[str, Rule] = {
    "nearest first": nearest,
    "oldest first": oldest,
    "most urgent first": most_urgent,
}


def by_hand(week: Week, rule: Rule) -> dict[ShiftKey, list[int]]:
    """Return the jobs of each shift in their order, chosen one after another by one rule."""
    problem = week.problem
    waiting = {task.key for task in problem.tasks if task.locked is None}
    routes: dict[ShiftKey, list[int]] = {}
    for shift in sorted(problem.shifts, key=lambda each: (each.key.day, each.key.crew)):
        locked = [task.key for task in problem.tasks if task.locked == shift.key]
        rest, order = _ordered(problem, shift, locked) or [], list[int]()
        while True:
            at = problem.by_key[order[-1]].place if order else shift.place
            able = [
                key
                for key in (*waiting, *rest[:1])
                if starts_of(problem, shift, _then(order, key, rest)) is not None
            ]
            if not able:
                break
            legs = {key: problem.travel[at][problem.by_key[key].place] for key in able}
            best = min(able, key=lambda key: rule(week, key, legs[key]))
            order.append(best)
            waiting.discard(best)
            rest = [key for key in rest if key != best]
        routes[shift.key] = order
    return routes


def _then(order: Sequence[int], key: int, rest: Sequence[int]) -> list[int]:
    return [*order, key, *(other for other in rest if other != key)]


def by_rota(week: Week, seconds: float) -> tuple[dict[ShiftKey, list[int]], bool]:
    """Return the same by the product's rota, and whether it is proven."""
    made = plan_keeping(week.problem, week.promised, seconds=seconds).plan
    return {route.shift: list(route.keys) for route in made.routes}, made.gap == 0


def score(week: Week, routes: Mapping[ShiftKey, Sequence[int]]) -> Score:
    """Return what a plan comes to; it keeps every rule.

    Raises:
        AssertionError: it does not.
    """
    problem = week.problem
    days = {key: shift.day for shift, order in routes.items() for key in order}
    assert len(days) == sum(len(order) for order in routes.values())
    for key, order in routes.items():
        assert starts_of(problem, problem.shift_at[key], order) is not None
    left = [task for task in problem.tasks if task.key not in days]
    assert not [task for task in left if task.locked]
    told = {key: day for key, day in week.promised.items() if key in problem.by_key}
    kept = sum(key in days and days[key] <= day for key, day in told.items())
    return Score(
        sum(driving_of(problem, problem.shift_at[key], order) for key, order in routes.items()),
        len(days),
        sum(task.penalty for task in left),
        sum(week.priority[task.key] >= 3 for task in left),
        kept,
        len(told) - kept,
    )


@dataclass(frozen=True)
class Compared:
    """All weeks by each way: the rota first."""

    by_way: Mapping[str, Sequence[Score]]
    proven: int
    slowest_s: float

    def wins(self, way: str, of: Callable[[Score], float]) -> tuple[int, int]:
        """Return in how many weeks a figure of the rota is lower than by a way, and higher."""
        pairs = [
            (of(own), of(other))
            for own, other in zip(self.by_way["rota"], self.by_way[way], strict=True)
        ]
        return sum(a < b for a, b in pairs), sum(a > b for a, b in pairs)


def compared(weeks: Sequence[int], seconds: float) -> Compared:
    """Return the weeks of these seeds, planned in each way."""
    found: dict[str, list[Score]] = {way: [] for way in ("rota", *BY_HAND)}
    proven, slowest = 0, 0.0
    for seed in weeks:
        week, start = made_up(seed), perf_counter()
        routes, is_proven = by_rota(week, seconds)
        proven, slowest = proven + is_proven, max(slowest, perf_counter() - start)
        found["rota"].append(score(week, routes))
        for way, rule in BY_HAND.items():
            found[way].append(score(week, by_hand(week, rule)))
    return Compared(found, proven, slowest)


_FIGURES: dict[str, Callable[[Score], float]] = {
    "min driven": lambda one: one.driving,
    "per job": lambda one: one.per_job,
    "jobs done": lambda one: one.done,
    "weight left": lambda one: one.left_min,
    "3 and 4 left": lambda one: one.first_left,
    "promises kept": lambda one: one.kept,
    "not kept": lambda one: one.late,
}


def main() -> None:
    """Print the means, how often the rota wins, and fail outside the bars."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--weeks", type=int, default=50)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    made = compared(range(given.seed, given.seed + given.weeks), given.seconds)
    print(f"{'mean of a week':<20}" + "".join(f"{name:>15}" for name in _FIGURES))
    means = {
        way: {name: mean(of(one) for one in scores) for name, of in _FIGURES.items()}
        for way, scores in made.by_way.items()
    }
    for way, row in means.items():
        print(f"{way:<20}" + "".join(f"{value:>15.1f}" for value in row.values()))
    print(f"{made.proven} of {given.weeks} proven, the slowest in {made.slowest_s:.1f} s")
    misses = []
    for way in BY_HAND:
        won = "; ".join(
            f"{name} less in {less}, more in {more}"
            for name, of in _FIGURES.items()
            for less, more in [made.wins(way, of)]
        )
        print(f"rota against {way}: {won}")
        own, other = means["rota"], means[way]
        if not (
            own["weight left"] < other["weight left"]
            and own["promises kept"] > other["promises kept"]
            and own["jobs done"] >= other["jobs done"]
        ):
            misses.append(way)
    if misses:
        raise SystemExit(f"no better than: {', '.join(misses)}")


if __name__ == "__main__":
    main()
