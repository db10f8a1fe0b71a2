"""How good the rota's plans are, and how long they take: proven weeks, and days of short jobs.

    uv run python -m tests.bench.bench_rota              a week of 60 jobs, of 120, and long days
    uv run python -m tests.bench.bench_rota --seconds 60

The 120 jobs take 60 to 240 minutes, on forty shifts; the long days are 80 jobs of 15 to 40
minutes on eight shifts.
"""

import argparse
import json
from pathlib import Path
from time import perf_counter

from faults.rota.engines.instance import problem_of
from faults.rota.engines.planning import Plan, plan
from faults.rota.engines.problem import Problem
from tests.engines.rota.cases import checked, town

HERE = Path(__file__).parents[1] / "engines" / "rota"
LONG_DAYS = range(1, 4)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=30.0)
    seconds = parser.parse_args().seconds
    week = problem_of(json.loads((HERE / "D1.json").read_text()))
    misses = int(_line("60 jobs, 31 shifts", week, seconds).gap != 0)
    for seed in LONG_DAYS:
        many = town(seed, jobs=120, crews=8, days=5, shortest=60, longest=240)
        _line(f"120 jobs, seed {seed}", many, seconds)
    for seed in LONG_DAYS:
        day = town(seed, jobs=80, crews=4, days=2, shortest=15, longest=40)
        _line(f"80 short jobs, seed {seed}", day, seconds)
    raise SystemExit(misses)


def _line(name: str, problem: Problem, seconds: float) -> Plan:
    start = perf_counter()
    made = plan(problem, seconds=seconds)
    took = perf_counter() - start
    checked(problem, made)
    print(
        f"{name:<24}{took:>7.1f} s {made.objective:>6} bound {made.bound:>6} gap {made.gap:>6.1%} "
        f"{made.status.value}, {made.method.value}",
        flush=True,
    )
    return made


if __name__ == "__main__":
    main()
