"""What is said agrees with what is so: coverage of likely sets, and the chance of two faults."""

import numpy as np
import pytest

from faults.engines.locating.assumptions import Assumptions
from faults.engines.locating.belief import Belief, Outside, prior
from faults.engines.locating.box_tests import BoxTest
from faults.engines.locating.evidence import update
from faults.engines.locating.line import Box, Leg, Line
from faults.engines.locating.other_tests import Distance
from faults.engines.locating.second import after_repair, segments_of, two_faults
from faults.engines.locating.summary import band, feet_of, likely_set

CASES = 1500
# Three standard errors about 0.90 at this number of cases.
WITHIN = 3 * (0.9 * 0.1 / CASES) ** 0.5


def drawn_line(rng: np.random.Generator) -> Line:
    feet = rng.uniform(50, 400, int(rng.integers(3, 8)))
    legs = tuple(Leg(f"leg {i}", float(ft), years=0.0) for i, ft in enumerate(feet))
    return Line(legs, tuple(Box(f"box {i}") for i in range(1, len(legs))))


def drawn_truth(belief: Belief, rng: np.random.Generator) -> tuple[str, int]:
    cells = belief.legs.sum(axis=0)
    causes = list(Outside)
    mass = np.concatenate([cells, belief.splice, [belief.outside[cause] for cause in causes]])
    at = int(rng.choice(len(mass), p=mass / mass.sum()))
    if at < len(cells):
        return "cell", at
    at -= len(cells)
    return ("point", at) if at < len(belief.splice) else ("cause", at - len(belief.splice))


def sides_of(line: Line, truth: tuple[str, int], box: int) -> tuple[bool, bool]:
    kind, at = truth
    if kind == "cell":
        return bool(line.cell_leg[at] < box), bool(line.cell_leg[at] >= box)
    if kind == "point":
        return at < box, at > box
    cause = list(Outside)[at]
    return cause in (Outside.OUTPUT, Outside.COMMON_TERMINAL), cause is Outside.COIL


def observed(
    rng: np.random.Generator, sides: tuple[bool, bool], assumed: Assumptions
) -> tuple[bool, bool]:
    if rng.random() < assumed.box_swapped:
        sides = sides[::-1]
    bad = [assumed.box_sensitivity if side else 1 - assumed.box_specificity for side in sides]
    return bool(rng.random() < bad[0]), bool(rng.random() < bad[1])


def feet_read(
    rng: np.random.Generator, line: Line, truth: tuple[str, int], assumed: Assumptions
) -> float:
    kind, at = truth
    cause = list(Outside)[at] if kind == "cause" else None
    nowhere = cause in (Outside.COMMON_TERMINAL, Outside.WATER)
    if nowhere or rng.random() < assumed.distance_useless:
        return float(rng.uniform(0, line.length_ft))
    by_cause = {Outside.OUTPUT: 0.0, Outside.COIL: line.length_ft}
    feet = by_cause.get(cause, 0.0)
    if kind != "cause":
        feet = float(line.cell_ft[at] if kind == "cell" else line.point_ft[at])
    sd = np.hypot(assumed.distance_sd_ft, assumed.distance_sd_share * feet)
    return float(rng.normal(feet, sd))


def test_a_set_that_says_ninety_percent_holds_the_truth_that_often() -> None:
    rng = np.random.default_rng(20260104)
    assumed = Assumptions(common_share=0.0)
    held = 0
    for _ in range(CASES):
        line = drawn_line(rng)
        belief = prior(line, assumed)
        truth = drawn_truth(belief, rng)
        for _test in range(int(rng.integers(1, 4))):
            box = int(rng.integers(1, len(line.boxes) + 1))
            seen = observed(rng, sides_of(line, truth, box), assumed)
            belief = update(belief, BoxTest(box, *seen), assumed)
        if rng.random() < 0.5:
            belief = update(belief, Distance(feet_read(rng, line, truth, assumed)), assumed)
        held += is_in(likely_set(belief, rng.random()), truth)
    assert held / CASES == pytest.approx(0.90, abs=WITHIN)


def is_in(chosen: object, truth: tuple[str, int]) -> bool:
    kind, at = truth
    places = {
        "cell": chosen.cells,  # type: ignore[attr-defined]
        "point": chosen.points,  # type: ignore[attr-defined]
    }
    if kind == "cause":
        return list(Outside)[at] in chosen.outside  # type: ignore[attr-defined]
    return bool(places[kind][at])


def test_the_chance_of_two_faults_comes_true_as_often_as_it_says() -> None:
    rng = np.random.default_rng(20260105)
    assumed = Assumptions(two_faults=0.30, p_water=0.0, common_share=0.0)
    said, was = [], []
    for _ in range(CASES):
        segments = segments_of(prior(drawn_line(rng), assumed))
        places = rng.choice(len(segments.mass), size=2, p=segments.mass)
        places = places if rng.random() < 0.30 else places[:1]
        boxes = (len(segments.mass) - 3) // 2
        tests = []
        for _test in range(3):
            box = int(rng.integers(1, boxes + 1))
            at = segments.splice(box)
            sides = (bool((places < at).any()), bool((places > at).any()))
            tests.append(BoxTest(box, *observed(rng, sides, assumed)))
        said.append(two_faults(segments, tests, assumed).p_two)
        was.append(len(places) == 2)
    assert np.mean(said) == pytest.approx(np.mean(was), abs=3 * (0.21 / CASES) ** 0.5)
    sure = np.array(said) > 0.5
    assert np.mean(np.array(was)[sure]) == pytest.approx(np.mean(np.array(said)[sure]), abs=0.08)


def test_after_a_mend_the_other_fault_is_sought_by_what_was_tested() -> None:
    assumed = Assumptions(two_faults=0.06)
    line = Line(
        tuple(Leg(f"leg {i}", 100) for i in range(4)), tuple(Box(f"b{i}") for i in range(3))
    )
    segments = segments_of(prior(line, assumed))
    both_bad = BoxTest(2, controller_bad=True, valve_bad=True)
    assert two_faults(segments, [both_bad], assumed).p_two > 0.2
    other = after_repair(segments, [both_bad], segments.leg(0), assumed)
    assert other is not None
    beyond = other[segments.splice(2) + 1 :].sum()
    assert beyond > 0.8


def test_no_second_fault_is_named_where_none_fits() -> None:
    perfect = Assumptions(box_sensitivity=1.0, box_specificity=1.0, box_swapped=0.0)
    line = Line(tuple(Leg(f"leg {i}", 100) for i in range(3)), (Box("a"), Box("b")))
    segments = segments_of(prior(line, perfect))
    tests = [BoxTest(1, controller_bad=True, valve_bad=False), BoxTest(1, False, False)]
    assert after_repair(segments, tests, segments.leg(0), perfect) is None


def test_bands_are_rounded_and_honest_at_the_ends() -> None:
    assert [band(p) for p in (0.0, 0.004, 0.03, 0.24, 0.6, 0.97)] == [0.0, 0.0, 0.02, 0.2, 0.5, 1.0]
    with pytest.raises(ValueError, match=r"0\.\.1"):
        band(1.2)


def test_feet_stand_in_order_and_on_the_wire() -> None:
    line = drawn_line(np.random.default_rng(3))
    feet = feet_of(prior(line, Assumptions()))
    assert feet is not None
    assert 0 <= feet.low <= feet.middle <= feet.high <= line.length_ft
