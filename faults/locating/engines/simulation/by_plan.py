"""Search by the plan: take its first action, tell it the result, until it is found."""

from dataclasses import replace

from faults.locating.engines.actions import OpenBox, ReadDistance, WalkTone
from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Belief, prior
from faults.locating.engines.box_tests import BoxTest
from faults.locating.engines.evidence import update
from faults.locating.engines.options import Stand, Tools
from faults.locating.engines.other_tests import Distance
from faults.locating.engines.plan import next_actions
from faults.locating.engines.simulation.field import Field
from faults.locating.engines.simulation.known import Known
from faults.locating.engines.tones import ToneWalked

MOST_REPEATS = 6


def search_by_plan(field: Field, known: Known, assumed: Assumptions, tools: Tools) -> Belief:
    """Follow the plan until the fault is found or the day is over; return the last belief."""
    belief = prior(known.line, assumed)
    here = {true: point for point, true in enumerate(known.true_point)}
    while not field.is_over:
        stand = Stand(
            here[field.at],
            here.get(field.open_box) if field.open_box is not None else None,
            here.get(field.tone_from) if field.tone_from is not None else None,
        )
        action = next_actions(belief, stand, tools, assumed)[0].action
        if isinstance(action, OpenBox):
            belief = _box(field, belief, action, known, assumed)
        elif isinstance(action, WalkTone):
            start, end = (known.true_point[point] for point in (action.start, action.end))
            if not field.walk_tone(start, end):
                belief = update(belief, ToneWalked(action.start, action.end), assumed)
        elif isinstance(action, ReadDistance):
            belief = update(belief, Distance(field.read_distance()), assumed)
            tools = replace(tools, distance_at_controller=False)
        else:
            raise TypeError(f"Expected an action of the standard world, got {action}")
    return belief


def _box(
    field: Field, belief: Belief, action: OpenBox, known: Known, assumed: Assumptions
) -> Belief:
    for _ in range(MOST_REPEATS):
        controller_bad, valve_bad = field.test_box(known.true_point[action.box])
        if field.is_over:
            return belief
        belief = update(belief, BoxTest(action.box, controller_bad, valve_bad), assumed)
        if controller_bad != valve_bad:
            break
    return belief
