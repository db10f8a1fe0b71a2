"""Does a test fail when a rule is wrong? Try it, one small mistake after another.

    uv run python -m tests.mutation safety           every mutant of the modules that guard a dig
    uv run python -m tests.mutation sample           1,000 mutants of all other engines
    uv run python -m tests.mutation guards           every mutant of the guards in services
    uv run python -m tests.mutation safety sample guards    all: this is `.ci/long mutation`
    ... --count 300 --seed 7 --processes 1 --only faults.waits.engines.waits --survivors

A mutant is a module with one mistake (`mutants.py`); the module's own tests (`table.py`) must
fail. A run that was stopped goes on where it was: what was found is kept in the state folder
under the mutant's text and its tests' texts. `--survivors` tries those again that survived or
took too long before, whatever was changed in the tests since, and leaves the killed ones alone.

A survivor asks for a test, or for a line in `equivalents.toml` with the reason why no test can
tell it from the code. It fails when a safety module has a survivor without such a reason or
stays below 95 %, or the sample below 85 %.
"""

import argparse
import hashlib
import json
import os
import random
import sys
import time
import tomllib
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache
from itertools import islice, takewhile
from math import sqrt
from pathlib import Path

os.environ["OMP_NUM_THREADS"] = os.environ["OPENBLAS_NUM_THREADS"] = "1"

from tests.mutation.mutants import Mutant, Mutated
from tests.mutation.running import outcomes
from tests.mutation.table import CHECKOUT, GUARDS, SAFETY, engine_modules, own_tests

SAFETY_GOAL, SAMPLE_GOAL = 0.95, 0.85
SEED, COUNT = 20260, 1000
EQUIVALENTS = Path(__file__).with_name("equivalents.toml")


@dataclass
class Book:
    """What was found before, a line each: mutant, its text and tests in short, what came of it."""

    path: Path
    ignores_own_tests_killed: bool = False
    rows: dict[str, dict[str, str]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.path.parent.mkdir(parents=True, exist_ok=True)
        if self.path.exists():
            lines = [json.loads(line) for line in self.path.read_text().splitlines()]
            self.rows = {line["mutant"]: line for line in lines}

    def known(self, mutant: Mutant) -> str | None:
        """Return what came of a mutant, if neither it nor its tests changed since."""
        row = self.rows.get(_short(mutant.name + mutant.source))
        if row is None:
            return None
        is_found = row["outcome"] != "survived"
        same = row["tests"] == _tests_in_short(mutant.module)
        return row["outcome"] if same or (is_found and self.ignores_own_tests_killed) else None

    def keep(self, mutant: Mutant, outcome: str) -> None:
        """Write down what came of a mutant."""
        row = {
            "mutant": _short(mutant.name + mutant.source),
            "tests": _tests_in_short(mutant.module),
            "outcome": outcome,
            "name": mutant.name,
        }
        self.rows[row["mutant"]] = row
        with self.path.open("a") as book:
            book.write(json.dumps(row) + "\n")


def _short(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:16]


@cache
def _tests_in_short(module: str) -> str:
    return _short("".join((CHECKOUT / path).read_text() for path in own_tests(module)))


def every_mutant(modules: Iterable[str]) -> Iterator[Mutant]:
    """Yield all mutants of these modules."""
    for module in modules:
        yield from Mutated(module).mutants()


def drawn(modules: list[str], *, count: int, seed: int) -> Iterator[Mutant]:
    """Yield this many mutants, drawn from all places in these modules alike.

    They come as they were drawn: the first hundred are a sample too.
    """
    places = [(mutated, place) for mutated in map(Mutated, modules) for place in mutated.places]
    random.Random(seed).shuffle(places)
    made = (mutated.mutant(place) for mutated, place in places)
    return islice(filter(None, made), count)


def interval(found: int, count: int) -> tuple[float, float]:
    """Return Wilson's 95 % interval of a share."""
    z, share = 1.96, found / count
    middle = (share + z * z / (2 * count)) / (1 + z * z / count)
    half = z / (1 + z * z / count) * sqrt(share * (1 - share) / count + (z / (2 * count)) ** 2)
    return middle - half, middle + half


def tried(
    mutants: Iterable[Mutant], book: Book, *, processes: int, minutes: float
) -> Iterator[tuple[Mutant, str]]:
    """Yield mutants with what came of them, known or tried now, until these minutes are over."""
    ends = time.monotonic() + 60 * minutes
    known: list[tuple[Mutant, str]] = []

    def new() -> Iterator[Mutant]:
        for mutant in takewhile(lambda _: time.monotonic() < ends, mutants):
            if (outcome := book.known(mutant)) is None:
                yield mutant
            else:
                known.append((mutant, outcome))

    found = outcomes(new(), processes=processes)
    for number, (mutant, outcome, took) in enumerate(found, 1):
        book.keep(mutant, outcome)
        print(f"{number} {outcome:8} {took:5.1f} s  {mutant.name[:150]}", flush=True)
        yield mutant, outcome
    yield from known


def report(title: str, results: Iterable[tuple[Mutant, str]], *, goal: float) -> bool:
    """Print the table and the survivors of one part; return whether it is as good as wanted."""
    excused = tomllib.loads(EQUIVALENTS.read_text())
    counts: dict[str, Counter[str]] = {}
    survivors = []
    for mutant, outcome in results:
        is_excused = outcome == "survived" and mutant.change in excused.get(mutant.module, {})
        kind = "equivalent" if is_excused else outcome
        counts.setdefault(mutant.module, Counter())[kind] += 1
        if kind == "survived":
            survivors.append(mutant.name)
    print(f"\n{title}\n{'module':52} mutants killed survived equivalent")
    total: Counter[str] = Counter()
    for module, each in [*sorted(counts.items()), ("all", total)]:
        found = each["killed"] + each["timeout"]
        print(
            f"{module:52} {each.total():7} {found:6} {each['survived']:8} {each['equivalent']:10}"
        )
        total += each if module != "all" else Counter()
    real = total.total() - total["equivalent"]
    found = total["killed"] + total["timeout"]
    low, high = interval(found, real)
    print(f"killed {found}/{real} = {found / real:.1%}, 95 % interval {low:.1%} to {high:.1%}")
    print("\n".join(f"SURVIVED {name}" for name in sorted(survivors)))
    return found / real >= goal and (goal < SAFETY_GOAL or not survivors)


def set_up_django() -> None:
    """For guards in services only, and after the engines: models import engines."""
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    import django

    django.setup()


def main() -> None:
    """Try what was asked for."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation")
    parser.add_argument("parts", nargs="+", choices=["safety", "guards", "sample"])
    parser.add_argument("--count", type=int, default=COUNT)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--minutes", type=float, default=24 * 60, help="of each part")
    parser.add_argument("--only", default="", help="modules whose name begins so")
    parser.add_argument("--survivors", action="store_true", help="try only survivors again")
    parser.add_argument("--state", type=Path, default=CHECKOUT / ".rejoin/mutation.jsonl")
    asked = parser.parse_args()
    book, is_well = Book(asked.state, asked.survivors), True
    how = {"processes": asked.processes, "minutes": asked.minutes}
    others = [name for name in engine_modules() if name not in SAFETY]
    if "safety" in asked.parts:
        modules = [name for name in SAFETY if name.startswith(asked.only)]
        results = tried(every_mutant(modules), book, **how)
        is_well &= report("Safety", results, goal=SAFETY_GOAL)
    if "sample" in asked.parts:
        modules = [name for name in others if name.startswith(asked.only)]
        mutants = drawn(modules, count=asked.count, seed=asked.seed)
        title = f"Sample of {asked.count}, seed {asked.seed}"
        is_well &= report(title, tried(mutants, book, **how), goal=SAMPLE_GOAL)
    if "guards" in asked.parts:
        set_up_django()
        results = tried(every_mutant(GUARDS), book, **how)
        is_well &= report("Guards", results, goal=SAFETY_GOAL)
    sys.exit(not is_well)


main()
