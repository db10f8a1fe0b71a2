"""Simulated searches of the standard world against the minutes that are said before."""

from collections.abc import Iterable

import numpy as np

from faults.locating.engines.minutes import minutes_of
from faults.locating.engines.options import Tools
from faults.locating.engines.searching import Searcher
from faults.locating.engines.simulation.compare import KNOWN, SITE, search
from faults.locating.engines.simulation.known import assumed_in, known_of
from faults.locating.engines.simulation.sites import draw_site
from faults.locating.engines.simulation.worlds import STANDARD
from faults.locating.engines.symptoms import Symptom


def searcher_of(seed: int) -> Searcher:
    """Return the search that the plan begins on the site of a seed."""
    site = draw_site(np.random.default_rng([seed, SITE]), STANDARD.shape)
    known = known_of(site, STANDARD, np.random.default_rng([seed, KNOWN]))
    return Searcher(known.line, Symptom.OPEN, (), assumed_in(STANDARD), Tools())


def is_below(seed: int) -> bool:
    """Return whether the search of a seed ends under its nine-of-ten figure."""
    return search("plan", STANDARD, seed).minutes <= minutes_of(searcher_of(seed)).nine_of_ten


def share_below(seeds: Iterable[int]) -> float:
    """Return the share of searches that end under it."""
    return float(np.mean([is_below(seed) for seed in seeds]))
