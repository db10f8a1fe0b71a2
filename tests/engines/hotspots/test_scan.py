"""Faults close together, on one leg and on neighbouring legs."""

import numpy as np
import pytest

from reports.hotspots.engines.scan import (
    Link,
    chance_within,
    log_ratio,
    strongest_cluster,
    together,
    windows,
)

# Naus (1965), formula from memory; checked by 400,000 draws: .19001, .02777, .10392.
NAUS = [((2, 0.1), 0.19), ((3, 0.1), 0.028), ((3, 0.2), 0.104)]


@pytest.mark.parametrize(("case", "chance"), NAUS)
def test_the_chance_that_all_lie_within_a_part(case: tuple[int, float], chance: float) -> None:
    assert chance_within(*case) == pytest.approx(chance, abs=1e-9)


def test_the_chance_by_drawing() -> None:
    places = np.random.default_rng(3).random((200_000, 4))
    drawn = (np.ptp(places, axis=1) <= 0.3).mean()
    assert chance_within(4, 0.3) == pytest.approx(drawn, abs=0.003)


@pytest.mark.parametrize("case", [(1, 0.1), (2, 1.1), (3, -0.1)])
def test_one_fault_lies_with_nothing(case: tuple[int, float]) -> None:
    with pytest.raises(ValueError, match="count >= 2"):
        chance_within(*case)


def test_faults_along_one_leg() -> None:
    found = together([40.0, 46.0, 43.0], 120.0)
    assert found is not None
    assert (found.from_ft, found.to_ft) == (40.0, 46.0)
    assert found.chance == pytest.approx(chance_within(3, 6 / 120))
    assert together([40.0], 120.0) is None
    assert together([40.0, 41.0], 0.0) is None


def test_the_ratio_of_a_cluster() -> None:
    # New York leukaemia: 26 areas with 95,249 of 1,057,673 people and 85 of 552 cases; the ratio
    # is that of smerc 1.8.4's own test (11.577255). Total people from memory.
    expected = 552 * 95_249 / 1_057_673
    assert expected == pytest.approx(49.71, abs=0.005)
    assert log_ratio(np.array([85.0]), np.array([expected]), 552.0)[0] == pytest.approx(
        11.577255, abs=1e-6
    )


def chain(size: int) -> list[Link]:
    """Return legs one after the other, 100 ft from middle to middle."""
    return [Link(n, n + 1, 100.0) for n in range(size - 1)]


def test_windows_grow_along_the_network() -> None:
    found = windows(4, [Link(0, 1, 10.0), Link(1, 2, 50.0), Link(1, 3, 20.0)], most=3)
    assert (0,) in found
    assert (0, 1) in found
    assert (0, 1, 3) in found  # 30 ft away, before leg 2 at 60
    assert (0, 2) not in found  # no neighbours
    assert len(found) == len(set(found))


def test_neighbours_that_are_each_a_little_bad_are_found_together() -> None:
    counts = [0, 1] * 20
    counts[20:24] = [4, 3, 4, 4]
    found = strongest_cluster(
        counts, [1.0] * 40, windows(40, chain(40)), random=np.random.default_rng(7)
    )
    assert found is not None
    assert set(range(20, 24)) <= set(found.legs)
    assert found.p < 0.02


def test_the_same_seed_gives_the_same_answer() -> None:
    counts = [int(n) for n in np.random.default_rng(1).poisson(1, 30)]
    sets = windows(30, chain(30))
    one, two = (
        strongest_cluster(counts, [1.0] * 30, sets, random=np.random.default_rng(5))
        for _ in range(2)
    )
    assert one == two


def test_by_chance_alone_a_cluster_is_rarely_claimed() -> None:
    random = np.random.default_rng(20260101)
    sets = windows(40, chain(40))
    claimed = 0
    for _ in range(200):
        counts = [int(n) for n in random.poisson(1, 40)]
        found = strongest_cluster(counts, [1.0] * 40, sets, random=random, simulated=99)
        claimed += found is not None and found.p <= 0.05
    # 10 expected; more than 22 would come once in 3,000 times.
    assert claimed <= 22


def test_without_faults_there_is_no_cluster() -> None:
    assert strongest_cluster([0, 0], [1, 1], [(0,), (1,)], random=np.random.default_rng(1)) is None
