"""The bound by perfect tests, against textbook trees and every tree priced one by one."""

import numpy as np
import pytest

from tests.engines.locating.perfect_line import (
    LEFT,
    RIGHT,
    PerfectLine,
    Tone,
    box_only,
    boxes_and_tone,
)


def textbook(keys: list[float], dummies: list[float], minute: float) -> PerfectLine:
    """Keys are splices in boxes, dummies are legs; each test costs one minute, walking none."""
    n = len(keys)
    return PerfectLine(
        gap=dummies,
        point=[0.0, *keys, 0.0],
        box_min=[1.0] * (n + 2),
        walk_min=[[0.0] * (n + 2)] * (n + 2),
        pinpoint_min=[(minute, minute)] * (n + 1),
    )


def test_optimal_search_tree_of_the_textbook() -> None:
    # Source: CLRS 4th edition, section 14.5: 2.75, root k2, a level counted for the dummies.
    keys, dummies = [0.15, 0.10, 0.05, 0.10, 0.20], [0.05, 0.10, 0.05, 0.05, 0.05, 0.10]
    best = box_only(textbook(keys, dummies, 1.0))
    assert best.minutes == pytest.approx(2.75)
    assert best.first_box == 2
    assert box_only(textbook(keys, dummies, 0.0)).minutes == pytest.approx(2.75 - sum(dummies))


def test_optimal_search_tree_of_the_exercise() -> None:
    # Source: CLRS exercise 15.5-2 (data as quoted at tutorsglobe.com 5117425; 3.12 from memory).
    keys = [0.04, 0.06, 0.08, 0.02, 0.10, 0.12, 0.14]
    dummies = [0.06, 0.06, 0.06, 0.06, 0.05, 0.05, 0.05, 0.05]
    best = box_only(textbook(keys, dummies, 1.0))
    assert best.minutes == pytest.approx(3.12)
    assert best.first_box == 5


def test_optimal_alphabetic_tree() -> None:
    # Source: oj.gxyzh.com/d/atcoder/p/atc002c, sample with weights 1 2 3 4 9 3: 53.
    weights = [1.0, 2.0, 3.0, 4.0, 9.0, 3.0]
    best = box_only(textbook([0.0] * 5, weights, 0.0))
    assert best.minutes == pytest.approx(53)
    assert best.first_box == 4
    assert best.minutes / sum(weights) == pytest.approx(2.409091, abs=1e-6)


def test_boxes_alone_on_a_small_wire() -> None:
    # By hand: 8 + (.5 x 11.2 + .2 x 12 + .3 x 14) + (.5 x 12.4 + .1 x 10 + .4 x 16) = 33.8.
    feet = np.concatenate([[0], np.cumsum([200.0, 300.0, 100.0, 400.0])])
    pinpoint = [(8 + full / 2,) * 2 for full in (8.0, 12.0, 4.0, 16.0)]
    line = PerfectLine(
        gap=[0.2, 0.3, 0.1, 0.4],
        point=[0.0] * 5,
        box_min=[0.0, 10.0, 6.0, 12.0, 0.0],
        walk_min=(np.abs(feet[:, None] - feet) / 250).tolist(),
        pinpoint_min=pinpoint,
    )
    best = box_only(line)
    assert best.minutes == pytest.approx(33.8)
    assert best.first_box == 2


def drawn(rng: np.random.Generator, boxes: int) -> PerfectLine:
    mass = rng.random(2 * boxes + 1)
    mass /= mass.sum()
    walk = rng.random((boxes + 2, boxes + 2)) * 5
    np.fill_diagonal(walk, 0)
    return PerfectLine(
        gap=mass[: boxes + 1].tolist(),
        point=[0.0, *mass[boxes + 1 :].tolist(), 0.0],
        box_min=(rng.random(boxes + 2) * 10 + 1).tolist(),
        walk_min=walk.tolist(),
        pinpoint_min=[tuple(pair) for pair in (rng.random((boxes + 1, 2)) * 20).tolist()],
    )


def every_tree(line: PerfectLine, i: int, j: int, here: int) -> list[float]:
    """The cost of each tree of box tests over gaps i..j, one number a tree."""
    if i == j:
        return [line.gap[i] * line.pinpoint_min[i][LEFT if here == i else RIGHT]]
    mass = sum(line.gap[i : j + 1]) + sum(line.point[i + 1 : j + 1])
    costs = []
    for box in range(i + 1, j + 1):
        first = mass * (line.walk_min[here][box] + line.box_min[box])
        lefts, rights = every_tree(line, i, box - 1, box), every_tree(line, box, j, box)
        costs += [first + left + right for left in lefts for right in rights]
    return costs


def test_the_programme_equals_the_cheapest_of_all_trees() -> None:
    rng = np.random.default_rng(20260101)
    trees = 0
    for case in range(150):
        line = drawn(rng, 1 + case % 5)
        prices = every_tree(line, 0, len(line.gap) - 1, 0)
        trees += len(prices)
        assert box_only(line).minutes == pytest.approx(min(prices), abs=1e-12)
    assert trees > 1500


def every_search(line: PerfectLine, tone: Tone, i: int, j: int, here: int) -> list[float]:
    """The cost of each way by boxes and walks over gaps i..j, priced place by place."""
    mass = sum(line.gap[i : j + 1]) + sum(line.point[i + 1 : j + 1])
    costs = []
    for box in range(i + 1, j + 1):
        first = mass * (line.walk_min[here][box] + line.box_min[box])
        lefts = every_search(line, tone, i, box - 1, box)
        rights = every_search(line, tone, box, j, box)
        costs += [first + left + right for left in lefts for right in rights]
    for begin, way in ((i, 1), (j + 1, -1)):
        for count in range(1, j - i + 2):
            stop = begin + way * count
            spent = line.walk_min[here][begin] + tone.setup_min
            cost, left = 0.0, mass
            for step in range(count):
                g = begin + step if way > 0 else begin - step - 1
                mean = tone.mean_from_left_min[g]
                cost += line.gap[g] * (spent + (mean if way > 0 else tone.full_min[g] - mean))
                spent += tone.full_min[g]
                left -= line.gap[g]
                reached = g + 1 if way > 0 else g
                if i < reached < j + 1:
                    cost += line.point[reached] * spent
                    left -= line.point[reached]
            if count == j - i + 1:
                costs.append(cost)
                continue
            rest = (stop, j) if way > 0 else (i, stop - 1)
            costs += [
                cost + max(left, 0.0) * spent + more
                for more in every_search(line, tone, *rest, stop)
            ]
    return costs


def test_boxes_and_tone_equal_the_cheapest_of_all_ways() -> None:
    rng = np.random.default_rng(20260102)
    ways = 0
    for case in range(40):
        boxes = 1 + case % 3
        line = drawn(rng, boxes)
        full = (rng.random(boxes + 1) * 20).tolist()
        tone = Tone(
            8.0, full, [ft * share for ft, share in zip(full, rng.random(boxes + 1), strict=True)]
        )
        prices = every_search(line, tone, 0, boxes, 0)
        ways += len(prices)
        assert boxes_and_tone(line, tone) == pytest.approx(min(prices), abs=1e-9)
    assert ways > 2000
