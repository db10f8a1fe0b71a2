"""What choosing by Return first brings against three usual ways of choosing, crew hours honoured.

    uv run python -m tests.bench.bench_returning              400 made-up companies
    uv run python -m tests.bench.bench_returning --runs 40 --seed 3

Each company has properties some way off, faults with a search each, and stations off central that
share them. Every way takes stations one after the other while they fit into the hours, set-ups
paid once; Return first asks the product's own engine. Worth is known to all of them alike.
"""

import argparse
from collections.abc import Callable, Iterator
from random import Random
from statistics import fmean

from reports.returning.engines.choosing import Candidate, Load, Problem, choose
from reports.returning.engines.effort import PROVE_MIN

HOURS = (8, 16, 40)
Order = Callable[[Candidate], float]


def company(random: Random, hours: float) -> tuple[Problem, dict[int, float], dict[int, float]]:
    """Return what could come back, how old each case is, and how loud its client."""
    candidates, set_ups, age, loud = [], {}, {}, {}
    for place in range(random.randint(3, 12)):
        drive, loudness = f"drive:{place}", random.random()
        set_ups[drive] = Load(2 * random.uniform(10, 45))
        for fault in range(random.randint(1, 6)):
            name = f"fault:{place}:{fault}"
            set_ups[name] = Load(random.choice([45, 195, 195 + random.lognormvariate(4, 0.5)]))
            days = random.uniform(5, 900)
            for _station in range(random.choice([1, 1, 1, 2, 3, 5])):
                key = len(candidates)
                worth = random.lognormvariate(5, 1)
                candidates.append(Candidate(key, worth, Load(PROVE_MIN), (drive, name)))
                age[key], loud[key] = days, loudness
    return Problem(candidates, set_ups, hours * 60), age, loud


def one_by_one(problem: Problem, order: Order) -> float:
    """Return the worth of what fits, taken in this order, the greatest first."""
    chosen: list[int] = []
    for one in sorted(problem.candidates, key=lambda each: (-order(each), each.key)):
        if problem.fits([*chosen, one.key]):
            chosen.append(one.key)
    return problem.worth_of(chosen)


def shares(runs: int, seed: int, hours: float) -> dict[str, float]:
    """Return how much of Return first's worth each other way brings, as a mean over companies."""
    random = Random(seed)
    found: dict[str, list[float]] = {"oldest first": [], "loudest client": [], "cheapest": []}
    for _run in range(runs):
        problem, age, loud = company(random, hours)
        best = choose(problem, seconds=10)
        if not best.is_proven or best.worth <= 0:
            continue
        ways: dict[str, Order] = {
            "oldest first": lambda each, age=age: age[each.key],  # type: ignore[misc]
            "loudest client": lambda each, loud=loud: loud[each.key],  # type: ignore[misc]
            "cheapest": lambda each, problem=problem: -problem.load_of([each.key]).minutes,  # type: ignore[misc]
        }
        for name, order in ways.items():
            found[name].append(one_by_one(problem, order) / best.worth)
    return {name: fmean(each) for name, each in found.items()} | {
        "companies": float(len(found["cheapest"]))
    }


def lines(runs: int, seed: int) -> Iterator[str]:
    """Yield the table."""
    yield f"{runs} companies, seed {seed}: share of the worth of Return first"
    for hours in HOURS:
        found = shares(runs, seed, hours)
        words = ", ".join(f"{name} {found[name]:.0%}" for name in found if name != "companies")
        yield f"{hours:3} crew hours ({found['companies']:.0f} proven): {words}"


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=400)
    parser.add_argument("--seed", type=int, default=20261129)
    asked = parser.parse_args()
    for line in lines(asked.runs, asked.seed):
        print(line)


if __name__ == "__main__":
    main()
