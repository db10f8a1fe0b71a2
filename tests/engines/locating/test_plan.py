"""The plan: what it ranks first, and what must never happen to it."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faults.locating.engines.actions import (
    CheckController,
    CutBox,
    ListenAt,
    MoveToSpare,
    OpenBox,
    WalkTone,
)
from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import (
    NUMBER_OF,
    Belief,
    Conductor,
    Contradiction,
    Neighbour,
    Outside,
    prior,
)
from faults.locating.engines.box_tests import BoxTest, Listened
from faults.locating.engines.costs import Masses, Prices
from faults.locating.engines.evidence import Reading
from faults.locating.engines.line import Box, Joint, Leg, Line
from faults.locating.engines.options import Stand, Tools
from faults.locating.engines.other_tests import Bypassed, Check, Checked, Distance
from faults.locating.engines.plan import ALIKE, next_actions
from faults.locating.engines.terrain import Terrain
from faults.locating.engines.tones import ToneWalked
from tests.engines.locating.one_fault import update
from tests.engines.locating.perfect_line import PerfectLine, Tone, boxes_and_tone

# Minutes that differ by less are a tie.
TIE_MIN = 1.01e-6
IN_THE_WIRE = Assumptions(**dict.fromkeys(NUMBER_OF.values(), 0.0), common_share=0.0)


def line_of(*feet: float, joint: Joint = Joint.SPLICED) -> Line:
    legs = tuple(Leg(f"leg {i}", ft, years=0) for i, ft in enumerate(feet))
    return Line(legs, tuple(Box(f"box {i}", joint) for i in range(1, len(feet))))


def first(belief: Belief, stand: Stand | None = None, **tools: object) -> object:
    at = stand or Stand()
    return next_actions(belief, at, Tools(**tools), IN_THE_WIRE)[0].action  # type: ignore[arg-type]


def test_a_long_wire_is_halved_before_it_is_walked() -> None:
    assert isinstance(first(prior(line_of(500, 500, 500, 500), IN_THE_WIRE)), OpenBox)


def test_a_short_wire_is_walked_at_once() -> None:
    assert first(prior(line_of(60, 60), IN_THE_WIRE)) == WalkTone(0, 2)


def test_after_both_sides_of_a_leg_are_tested_that_leg_is_walked() -> None:
    belief = prior(line_of(300, 300, 300, 300), IN_THE_WIRE)
    for reading in (BoxTest(1, False, True), BoxTest(2, True, False), BoxTest(2, True, False)):
        belief = update(belief, reading, IN_THE_WIRE)
    action = first(belief, Stand(2, 2))
    assert isinstance(action, WalkTone)
    assert {action.start, action.end} == {1, 2}


def test_a_wire_that_passes_uncut_is_listened_to_or_cut_never_opened_at_a_splice() -> None:
    belief = prior(line_of(400, 400, 400, joint=Joint.UNCUT), Assumptions())
    actions = [option.action for option in next_actions(belief, Stand(), Tools(), Assumptions())]
    assert not any(isinstance(action, OpenBox) for action in actions)
    assert any(isinstance(action, ListenAt) for action in actions)
    assert any(isinstance(action, CutBox) for action in actions)
    kept_whole = next_actions(belief, Stand(), Tools(may_cut=False), Assumptions())
    assert not any(isinstance(option.action, CutBox) for option in kept_whole)


def test_the_controller_is_looked_at_first_where_the_common_is_likely_to_blame() -> None:
    dead = [Neighbour(works=False) for _ in range(3)]
    belief = prior(line_of(300, 300), Assumptions(), dead)
    assert belief.outside[Outside.COMMON_TERMINAL] > 0.5
    best = next_actions(belief, Stand(), Tools(), Assumptions())[0]
    assert isinstance(best.action, CheckController)


def test_a_spare_is_ranked_beside_the_tests() -> None:
    belief = prior(line_of(900, 900), IN_THE_WIRE)
    quick = next_actions(belief, Stand(), Tools(spare_min=15.0), IN_THE_WIRE)
    assert isinstance(quick[0].action, MoveToSpare)
    slow = next_actions(belief, Stand(), Tools(spare_min=300.0), IN_THE_WIRE)
    assert isinstance(slow[-1].action, MoveToSpare)


def test_a_box_that_can_tell_nothing_new_is_not_offered() -> None:
    belief = prior(line_of(300, 300, 300), IN_THE_WIRE)
    for _ in range(3):
        belief = update(belief, BoxTest(1, True, False), IN_THE_WIRE)
    offered = [option.action for option in next_actions(belief, Stand(1, 1), Tools(), IN_THE_WIRE)]
    assert OpenBox(1) not in offered
    assert OpenBox(2) not in offered


def terrain(line: PerfectLine, tone: Tone) -> Terrain:
    return Terrain(
        walk_min=np.array(line.walk_min),
        tone_min=np.array(tone.full_min),
        test_min=np.array(line.box_min),
        test_error=np.zeros(len(line.box_min)),
        setup_min=tone.setup_min,
        detects=tone.detects,
        dislike_per_min=1e-6,
    )


Part = tuple[str, int]


def optimum(line: PerfectLine, tone: Tone, left: frozenset[Part], at: int) -> float:
    """The least expected minutes of all ways, for tests without error, by trying all of them."""
    kept: dict[tuple[frozenset[Part], int], float] = {}
    until = np.concatenate([[0.0], np.cumsum(tone.full_min)])

    def mass(parts: frozenset[Part]) -> float:
        return sum((line.gap if kind == "gap" else line.point)[i] for kind, i in parts)

    def best(parts: frozenset[Part], here: int) -> float:
        if not parts:
            return 0.0
        if (parts, here) not in kept:
            kept[parts, here] = min([*boxes(parts, here), *walks(parts, here)])
        return kept[parts, here]

    def boxes(parts: frozenset[Part], here: int) -> list[float]:
        costs = []
        for box in range(1, len(line.gap)):
            before = frozenset(p for p in parts if p[1] < box)
            beyond = frozenset(p for p in parts if p[1] >= box and p != ("point", box))
            if max(len(before), len(beyond)) < len(parts):
                first = mass(parts) * (line.walk_min[here][box] + line.box_min[box])
                costs.append(first + best(before, box) + best(beyond, box))
        return costs

    def walks(parts: frozenset[Part], here: int) -> list[float]:
        costs = []
        for start in range(len(line.gap) + 1):
            for end in range(len(line.gap) + 1):
                low, high = min(start, end), max(start, end)
                on_way = frozenset(
                    p
                    for p in parts
                    if (p[0] == "gap" and low <= p[1] < high)
                    or (p[0] == "point" and low <= p[1] <= high)
                )
                if start != end and on_way:
                    first = line.walk_min[here][start] + tone.setup_min
                    cost = mass(parts) * first + reached(on_way, start, end)
                    rest = parts - on_way
                    costs.append(
                        cost + mass(rest) * abs(until[end] - until[start]) + best(rest, end)
                    )
        return costs

    def reached(parts: frozenset[Part], start: int, end: int) -> float:
        minutes = 0.0
        for kind, i in parts:
            share = (line.gap if kind == "gap" else line.point)[i]
            at_left = until[i] + (tone.mean_from_left_min[i] if kind == "gap" else 0.0)
            minutes += share * abs(at_left - until[start])
        return minutes

    return best(left, at)


def test_prices_with_perfect_tests_come_near_the_best_of_all_ways() -> None:
    rng = np.random.default_rng(20260103)
    shares = []
    for case in range(24):
        boxes = 1 + case % 3
        # A splice weighs as some feet of wire do.
        mass = rng.random(2 * boxes + 1) * np.repeat([1.0, 0.1], [boxes + 1, boxes])
        mass /= mass.sum()
        feet = np.concatenate([[0], np.cumsum(rng.uniform(50, 300, boxes + 1))])
        full = np.diff(feet) * 0.07
        line = PerfectLine(
            gap=mass[: boxes + 1].tolist(),
            point=[0.0, *mass[boxes + 1 :].tolist(), 0.0],
            box_min=rng.uniform(6, 16, boxes + 2).tolist(),
            walk_min=(np.abs(feet[:, None] - feet) / 250).tolist(),
            pinpoint_min=[(0.0, 0.0)] * (boxes + 1),
        )
        tone = Tone(8.0, full.tolist(), (full / 2).tolist())
        ground = terrain(line, tone)
        reach = np.array(line.gap) * np.exp(ground.dislike_per_min * full / 2)
        masses = Masses(np.array([line.gap]), np.array([line.point]), reach[None], reach[None])
        price = Prices(ground, masses).from_point(np.array([0]))[0]
        minutes = float(np.log(price) / ground.dislike_per_min)
        parts = frozenset(
            [("gap", i) for i in range(boxes + 1)] + [("point", i) for i in range(1, boxes + 1)]
        )
        exact = optimum(line, tone, parts, 0)
        assert exact <= boxes_and_tone(line, tone) + 1e-9
        shares.append(minutes / exact)
    assert min(shares) > 0.98
    assert max(shares) < 1.08
    assert np.median(shares) < 1.001


def readings(line: Line) -> st.SearchStrategy[Reading]:
    box = st.integers(1, len(line.boxes))
    point = st.integers(0, len(line.boxes) + 1)
    yes_no = st.booleans()
    return st.one_of(
        st.builds(BoxTest, box, st.none() | yes_no, st.none() | yes_no),
        st.builds(Listened, box, yes_no),
        st.builds(ToneWalked, point, point, st.sampled_from([Conductor.HOT, Conductor.COMMON])),
        st.builds(Distance, st.floats(-50, line.length_ft + 50), yes_no),
        st.builds(Bypassed, st.integers(0, len(line.legs) - 1), yes_no),
        st.builds(Checked, st.sampled_from(list(Check)), yes_no),
    )


LINE = line_of(120, 0, 340, 75)


@settings(max_examples=60, deadline=None)
@given(st.lists(readings(LINE), max_size=8))
def test_whatever_is_read_the_belief_stays_a_probability_and_an_action_is_offered(
    seen: list[Reading],
) -> None:
    belief = prior(LINE, Assumptions())
    try:
        for reading in seen:
            belief = update(belief, reading, Assumptions())
    except Contradiction:
        return
    assert np.isfinite(belief.legs).all()
    assert (belief.legs >= 0).all()
    assert (belief.splice >= 0).all()
    assert belief.total == pytest.approx(1)
    options = next_actions(belief, Stand(), Tools(), Assumptions())
    assert options
    assert all(np.isfinite(option.minutes) and option.own_min >= 0 for option in options)
    minutes = np.array([option.minutes for option in options])
    # A look that takes as long to all that anybody knows may lead a cut.
    assert minutes[0] <= minutes.min() * ALIKE
    assert (np.diff(minutes[1:]) > -TIE_MIN).all()
