"""A network that nobody here made: 287 places on 303 stretches, flagged by the exact tails."""

import warnings
from typing import Any

import numpy as np
import pytest
from libpysal.examples import get_path
from libpysal.io import open as open_shapes

from reports.hotspots.engines.hotspots import false_share, upper_tails
from reports.hotspots.engines.rates import Floats


def shapes(name: str) -> list[Any]:
    """Return the shapes of one of libpysal's own example files."""
    with warnings.catch_warnings():
        # The reader of libpysal says that its shapes will change one day.
        warnings.simplefilter("ignore", FutureWarning)
        rows = open_shapes(get_path(name))
        try:
            return list(rows)
        finally:
            rows.close()


def stretches() -> tuple[Floats, Floats]:
    """Return the two ends of every stretch of street, (n, 2) each, a double one once."""
    ends = {
        tuple(sorted((start, end)))
        for street in shapes("streets.shp")
        for start, end in zip(street.vertices, street.vertices[1:], strict=False)
    }
    both = np.array(sorted(ends), dtype=float)
    return both[:, 0], both[:, 1]


def nearest(place: Floats, starts: Floats, ends: Floats) -> int:
    """Return the stretch that a place lies on or nearest to."""
    along = ends - starts
    share = ((place - starts) * along).sum(axis=1) / (along**2).sum(axis=1)
    foot = starts + np.clip(share, 0.0, 1.0)[:, None] * along
    return int(np.hypot(*(foot - place).T).argmin())


def test_the_stretches_that_stand_out_of_a_package_s_own_network() -> None:
    # The geodanet example of libpysal (BSD-3); figures computed with libpysal 4.14.1, spaghetti
    # and scipy's Poisson tails: 303 arcs of 104,414.09, 287 places, 107 arcs with any, at most
    # 37 on one, 9 arcs at q < .05.
    starts, ends = stretches()
    lengths = np.hypot(*(ends - starts).T)
    assert len(lengths) == 303
    assert lengths.sum() == pytest.approx(104_414.09, abs=0.01)
    places = np.array(shapes("crimes.shp"), dtype=float)
    assert len(places) == 287
    found = [nearest(place, starts, ends) for place in places]
    counts = np.bincount(found, minlength=len(lengths)).astype(float)
    assert ((counts > 0).sum(), counts.max()) == (107, 37)
    expected = lengths / lengths.sum() * counts.sum()
    assert (false_share(upper_tails(counts, expected)) < 0.05).sum() == 9
