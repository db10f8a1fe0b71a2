"""Minutes of this searcher against an older commit's, on the same mixed cases and noise.

git worktree add --detach ../older 7caa366
uv run python -m tests.bench.bench_older ../older --runs 3000          mixed cases
uv run python -m tests.bench.bench_older ../older --world two_faults   another world

The older searcher runs in a process of its own from that folder. Each step it is given the whole
search as plain values, less what it cannot read: a kind of reading that it has no word for (a
mend, a new wire) and tools, values of a neighbour or numbers that it does not know. Where its
first action is one that it cannot be told the result of, it asks again, until its day is over.
"""

import argparse
import json
import subprocess
import sys
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import cache, partial
from pathlib import Path
from typing import IO, Any

import numpy as np

from faults.locating.engines import plain
from faults.locating.engines.actions import Action, CheckController
from faults.locating.engines.evidence import Reading
from faults.locating.engines.options import Stand, Tools
from faults.locating.engines.other_tests import Check, Checked
from faults.locating.engines.plain_values import Ids
from faults.locating.engines.plain_words import ACTIONS, READINGS, STAND, read_tagged, write_tagged
from faults.locating.engines.simulation.compare import DEFAULT_SEED, NOISE, SITE
from faults.locating.engines.simulation.mixed_by_plan import Doing, search_mixed_by_plan
from faults.locating.engines.simulation.mixed_cases import draw_case
from faults.locating.engines.simulation.mixed_field import MixedField
from faults.locating.engines.simulation.worlds import WORLDS, World

# What the older process does: it reads a search on a line, and writes its first action.
OLDER = """
import importlib, json, sys
sys.path.insert(0, sys.argv[1])
for name in ("faults.locating.engines", "faults.engines.locating"):
    try:
        read = importlib.import_module(name + ".plain_search")
    except ModuleNotFoundError:
        continue
    plain = importlib.import_module(name + ".plain")
    break
for line in sys.stdin:
    given = json.loads(line)
    search = read.search_from(given["search"])
    try:
        options = search.plan(plain.stand_from(given["stand"], search.ids))
    except Exception as error:  # No explanation is left: it says so, and gives no advice.
        if type(error).__name__ != "Contradiction":
            raise
        options = []
    said = plain.action_plain(options[0].action, search.ids) if options else None
    print(json.dumps(said), flush=True)
"""
# What engine 2 knows of a box, a neighbour, a stand and of readings.
KNOWN_BOX = {"id", "name", "joint", "open_min"}
KNOWN_OTHER = {"works", "shares", "common"}
KNOWN_STAND = {"at", "open_box", "tone_from", "tone_on"}
KNOWN_KINDS = {"box", "listened", "clamp", "tone walked", "distance", "check"}
KNOWN_CHECKS = {Check.OUTPUT, Check.COMMON, Check.COIL, Check.WATER}


@dataclass(frozen=True)
class Pair:
    """Minutes of one case by this searcher and by the older one, and whether each finished."""

    new_min: float
    old_min: float
    new_found: bool
    old_found: bool


def main() -> int:
    """Search, print, return 0."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path, help="a worktree of the older commit")
    parser.add_argument("--runs", type=int, default=400)
    parser.add_argument("--seed", type=int, default=DEFAULT_SEED)
    parser.add_argument("--world", default="mixed", choices=[w for w in WORLDS if WORLDS[w].mix])
    parser.add_argument("--processes", type=int, default=1)
    given = parser.parse_args()
    each = partial(_pair, given.folder.resolve(), WORLDS[given.world])
    seeds = range(given.seed, given.seed + given.runs)
    with ProcessPoolExecutor(given.processes) as pool:
        print(_words(list(pool.map(each, seeds, chunksize=10))))
    return 0


def _words(pairs: list[Pair]) -> str:
    new, old = (np.array([getattr(p, f"{who}_min") for p in pairs]) for who in ("new", "old"))
    both = np.array([p.new_found and p.old_found for p in pairs])
    lines = [
        f"{len(pairs):,} cases, unfinished: this {np.mean([not p.new_found for p in pairs]):.2%}, "
        f"older {np.mean([not p.old_found for p in pairs]):.2%}"
    ]
    for name, of in (("all, a day for one unfinished", both | True), ("both finish", both)):
        less = old[of] - new[of]
        error = 1.96 * float(less.std(ddof=1)) / len(less) ** 0.5
        lines.append(
            f"{name}: {new[of].mean():.1f} against {old[of].mean():.1f} min, "
            f"{less.mean():.1f} ± {error:.1f} less, {less.mean() / old[of].mean():.1%}"
        )
    return "\n".join(lines)


def _pair(folder: Path, world: World, seed: int) -> Pair:
    new, old = _field(world, seed), _field(world, seed)
    search_mixed_by_plan(new, Tools())
    _search_older(folder, old)
    return Pair(new.minutes, old.minutes, new.is_found, old.is_found)


def _field(world: World, seed: int) -> MixedField:
    if world.mix is None:
        raise ValueError("Expected a world of mixed cases, got one of a single break")
    case = draw_case(np.random.default_rng([seed, SITE]), world.shape, world.mix)
    return MixedField(case, world.errors, np.random.default_rng([seed, NOISE]))


def _search_older(folder: Path, field: MixedField) -> None:
    line = field.case.known_line
    ids = Ids(tuple(range(len(line.legs) + 1)), tuple(range(len(line.legs))))
    said: list[Reading] = []
    while not field.is_over:
        stand = Stand(field.at, field.open_box, field.tone_from, field.tone_on)
        asked = {"search": _search(field, ids, said), "stand": _stand(stand, ids)}
        action = _first(folder, asked, ids)
        if action is None:
            field.minutes = field.errors.longest_min
            return
        said += _told(Doing(field).results(action))
        if isinstance(action, CheckController):
            # It has no proof of the wire: another one is shown to it for nothing.
            field.look((Check.WIRE,))


def _told(said: Iterable[Reading]) -> list[Reading]:
    """What the older searcher can be told; of a part that was replaced that it is right now."""
    told = [
        replace(each, is_right=True) if isinstance(each, Checked) else each
        for each in said
        if not isinstance(each, Checked) or each.check in KNOWN_CHECKS
    ]
    return [each for each in told if _word(each) in KNOWN_KINDS]


def _word(reading: Reading) -> str:
    return next(kind.tag for kind in READINGS if type(reading) is kind.made)


def _search(field: MixedField, ids: Ids, said: list[Reading]) -> dict[str, Any]:
    case = field.case
    line = plain.line_plain(case.known_line, ids)
    return {
        "line": line | {"boxes": [_only(box, KNOWN_BOX) for box in line["boxes"]]},
        "symptom": case.symptom.value,
        "neighbours": [_only(plain.neighbour_plain(each), KNOWN_OTHER) for each in case.neighbours],
        "tools": {"clamp": True},
        "readings": [write_tagged(READINGS, each, ids, "kind") for each in said],
    }


def _stand(stand: Stand, ids: Ids) -> dict[str, Any]:
    return _only(STAND.write(stand, ids), KNOWN_STAND)


def _only(given: dict[str, Any], names: set[str]) -> dict[str, Any]:
    return {name: value for name, value in given.items() if name in names}


def _first(folder: Path, asked: dict[str, Any], ids: Ids) -> Action | None:
    put, got = _older(folder)
    print(json.dumps(asked), file=put, flush=True)
    answer = got.readline()
    if not answer:
        raise RuntimeError("Expected an action from the older commit, got nothing; see above")
    said = json.loads(answer)
    # The field feeds a tone where that takes least, wherever a plan would.
    return None if said is None else read_tagged(ACTIONS, {"fed_at": 0, **said}, ids, "action", {})


@cache
def _older(folder: Path) -> tuple[IO[str], IO[str]]:
    older = subprocess.Popen(
        [sys.executable, "-c", OLDER, str(folder)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=folder,
    )  # fmt: skip
    if older.stdin is None or older.stdout is None:
        raise RuntimeError("Expected pipes to the older commit, got none")
    return older.stdin, older.stdout


if __name__ == "__main__":
    sys.exit(main())
