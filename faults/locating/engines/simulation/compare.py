"""Run every way of searching on the same sites and noise, and sum up what it took."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from faults.locating.engines.options import Tools
from faults.locating.engines.repeats import most_running
from faults.locating.engines.simulation.by_plan import search_by_plan
from faults.locating.engines.simulation.field import Field
from faults.locating.engines.simulation.known import known_of
from faults.locating.engines.simulation.mixed_by_plan import search_mixed_by_plan
from faults.locating.engines.simulation.mixed_cases import draw_case
from faults.locating.engines.simulation.mixed_field import MixedField
from faults.locating.engines.simulation.mixed_ways import MIXED_WAYS
from faults.locating.engines.simulation.simple_ways import SIMPLE_WAYS
from faults.locating.engines.simulation.sites import draw_site
from faults.locating.engines.simulation.worlds import Mix, World

SITE, NOISE, KNOWN = 1, 2, 3
DEFAULT_SEED = 20260101


@dataclass(frozen=True)
class Outcome:
    """One search by one way. Minutes run to the right cause; wrong digs are in them.

    A wrong dig is a hole where the tone faded for nothing, or a part outside the wire that was
    replaced although it was sound. `cuts` are wires cut that passed a box whole; a plan asked for
    the same action at most `most_running` times running.
    """

    way: str
    minutes: float
    boxes: int
    is_found: bool
    wrong_digs: int = 0
    cuts: int = 0
    most_running: int = 0


@dataclass(frozen=True)
class Summed:
    """What a way took over all runs, in minutes; `unfinished` is a share, others are means.

    `most_running` is the greatest of all.
    """

    mean: float
    median: float
    p90: float
    boxes: float
    unfinished: float
    wrong_digs: float = 0.0
    cuts: float = 0.0
    most_running: int = 0


PLANS = {"plan": Tools(), "plan_distance": Tools(distance_at_controller=True)}
POLICIES = (*SIMPLE_WAYS, *PLANS)


def search(way: str, world: World, seed: int) -> Outcome:
    """Search one drawn site by one way. The same seed gives every way the same site and noise."""
    if world.mix is not None:
        return _search_mixed(way, world, world.mix, seed)
    site = draw_site(np.random.default_rng([seed, SITE]), world.shape)
    field = Field(site, world.errors, np.random.default_rng([seed, NOISE]))
    if way in SIMPLE_WAYS:
        SIMPLE_WAYS[way](field)
    else:
        known = known_of(site, world, np.random.default_rng([seed, KNOWN]))
        search_by_plan(field, known, world, PLANS[way])
    return _outcome(way, field)


def _search_mixed(way: str, world: World, mix: Mix, seed: int) -> Outcome:
    case = draw_case(np.random.default_rng([seed, SITE]), world.shape, mix)
    field = MixedField(case, world.errors, np.random.default_rng([seed, NOISE]))
    if way in MIXED_WAYS:
        MIXED_WAYS[way](field)
    else:
        search_mixed_by_plan(field, PLANS[way])
    return _outcome(way, field, cuts=len(field.cut))


def _outcome(way: str, field: Field | MixedField, cuts: int = 0) -> Outcome:
    return Outcome(
        way,
        field.minutes,
        len(field.opened),
        field.is_found,
        field.wrong_digs,
        cuts,
        most_running(field.asked),
    )


def search_all(world: World, seeds: Iterable[int], ways: Sequence[str] = POLICIES) -> list[Outcome]:
    """Search each drawn site by each way."""
    return [search(way, world, seed) for seed in seeds for way in ways]


def summed(outcomes: Sequence[Outcome]) -> dict[str, Summed]:
    """Return the summary of each way."""
    by_way: dict[str, list[Outcome]] = {}
    for outcome in outcomes:
        by_way.setdefault(outcome.way, []).append(outcome)
    return {way: _sum(found) for way, found in by_way.items()}


def _sum(found: Sequence[Outcome]) -> Summed:
    minutes = np.array([each.minutes for each in found])
    return Summed(
        mean=float(minutes.mean()),
        median=float(np.median(minutes)),
        p90=float(np.percentile(minutes, 90)),
        boxes=float(np.mean([each.boxes for each in found])),
        unfinished=float(np.mean([not each.is_found for each in found])),
        wrong_digs=float(np.mean([each.wrong_digs for each in found])),
        cuts=float(np.mean([each.cuts for each in found])),
        most_running=max(each.most_running for each in found),
    )
