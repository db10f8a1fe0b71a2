"""How often a set that says 90 % holds the fault, in a world that the plan may know badly."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from faults.locating.engines.belief import Belief, Outside, prior
from faults.locating.engines.box_tests import BoxTest
from faults.locating.engines.line import Floats
from faults.locating.engines.other_tests import Distance
from faults.locating.engines.simulation.field import Field
from faults.locating.engines.simulation.known import Known, assumed_in, known_of
from faults.locating.engines.simulation.sites import Site, draw_site
from faults.locating.engines.simulation.worlds import World
from tests.engines.locating.one_fault import update

COVERAGE = 0.90
SITE, NOISE, KNOWN, TESTS = 1, 2, 3, 4
MOST_TESTS = 3


@dataclass(frozen=True)
class LikelySet:
    """The fewest places that hold the coverage: cells, points, causes.

    The last place is in it only by a draw, so that over many searches the set holds the truth
    as often as it says, not more often. `feet` is the wire length in it.
    """

    cells: Floats
    points: Floats
    outside: frozenset[Outside]
    feet: float


def likely_set(belief: Belief, draw: float) -> LikelySet:
    """Return the smallest set of places that holds the coverage.

    Args:
        draw: uniform in [0, 1): decides on the last place, so that coverage is exact.
    """
    line = belief.line
    cells = belief.legs.sum(axis=0)
    causes = list(belief.outside)
    mass = np.concatenate([cells, belief.splice, [belief.outside[cause] for cause in causes]])
    # Cells are compared by mass per foot with points and causes by mass: all are "places".
    order = np.argsort(-mass, kind="stable")
    before = np.cumsum(mass[order]) - mass[order]
    inside = before < COVERAGE
    last = int(np.flatnonzero(inside)[-1])
    over = before[last] + mass[order[last]] - COVERAGE
    if mass[order[last]] > 0 and draw < over / mass[order[last]]:
        inside[last] = False
    chosen = np.zeros(len(mass), dtype=bool)
    chosen[order[inside]] = True
    n_cells, n_points = len(cells), len(belief.splice)
    return LikelySet(
        cells=chosen[:n_cells].astype(float),
        points=chosen[n_cells : n_cells + n_points].astype(float),
        outside=frozenset(
            cause
            for cause, is_in in zip(causes, chosen[n_cells + n_points :], strict=True)
            if is_in
        ),
        feet=float((line.cell_length_ft * chosen[:n_cells]).sum()),
    )


def coverage(world: World, seeds: Iterable[int]) -> float:
    """Return the share of searches whose likely set holds the fault."""
    return float(np.mean([holds_on_site(world, seed) for seed in seeds]))


def holds_on_site(world: World, seed: int) -> bool:
    """Draw a site, test one to three boxes at random, half the time read a distance; look."""
    site = draw_site(np.random.default_rng([seed, SITE]), world.shape)
    known = known_of(site, world, np.random.default_rng([seed, KNOWN]))
    field = Field(site, world.errors, np.random.default_rng([seed, NOISE]))
    rng = np.random.default_rng([seed, TESTS])
    belief = _tested(field, known, world, rng)
    return _holds(likely_set(belief, rng.random()), site, known)


def _tested(field: Field, known: Known, world: World, rng: np.random.Generator) -> Belief:
    assumed = assumed_in(world)
    belief = prior(known.line, assumed)
    for _ in range(int(rng.integers(1, MOST_TESTS + 1))):
        box = int(rng.integers(1, len(known.line.boxes) + 1))
        belief = update(belief, BoxTest(box, *field.test_box(known.true_point[box])), assumed)
    if rng.random() < 0.5:
        belief = update(belief, Distance(field.read_distance()), assumed)
    return belief


def _holds(chosen: LikelySet, site: Site, known: Known) -> bool:
    """Whether the place as it is known lies in the set: that share of its leg, or its splice."""
    if site.fault_splice in known.true_point:
        return bool(chosen.points[known.true_point.index(site.fault_splice)])
    true_ft = site.point_ft[list(known.true_point)]
    feet = float(np.interp(site.fault_ft, true_ft, known.line.point_ft))
    cell = int(np.argmin(np.abs(known.line.cell_ft - feet)))
    return bool(chosen.cells[cell])
