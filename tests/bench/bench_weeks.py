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
from statistics import mean
from time import perf_counter

from faults.rota.engines.keeping import plan_keeping
from faults.rota.engines.problem import ShiftKey
from faults.rota.engines.routes import driving_of, starts_of
from tests.bench.weeks import DAYS, Week, in_order, made_up


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
        rest, order = in_order(problem, shift, locked) or [], list[int]()
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
