"""Search by the plan: take its first action, tell it the result, until it is found."""

from dataclasses import replace

from faults.engines.locating.actions import OpenBox, ReadDistance, WalkTone
from faults.engines.locating.assumptions import Assumptions
from faults.engines.locating.belief import Belief, prior
from faults.engines.locating.evidence import BoxTest, Distance, ToneWalked, update
from faults.engines.locating.line import Box, Leg, Line
from faults.engines.locating.plan import Stand, Tools, next_actions
from faults.engines.locating.simulation.field import Errors, Field
from faults.engines.locating.simulation.sites import Site

MOST_REPEATS = 6
HAZARD_YEARS = 10.0


def line_of(site: Site, *, knows_hazards: bool) -> Line:
    """Return what the plan knows of a site."""
    hazards = site.hazard if knows_hazards else [1.0] * len(site.leg_ft)
    legs = tuple(
        Leg(str(i), float(ft), years=0.0, hazard_factor=float(hazard), tone_factor=float(slow))
        for i, (ft, hazard, slow) in enumerate(
            zip(site.leg_ft, hazards, site.obstacle, strict=True)
        )
    )
    boxes = tuple(Box(str(i), open_min=float(ft)) for i, ft in enumerate(site.box_min, 1))
    return Line(legs, boxes)


def assumptions_for(site: Site, errors: Errors) -> Assumptions:
    """Return assumptions that agree with the standard world: one fault, in the wire."""
    return Assumptions(
        p_output=0.0,
        p_common_terminal=0.0,
        p_coil=0.0,
        p_water=0.0,
        common_share=0.0,
        splice_counts_as_ft=site.shape.splice_counts_as_ft,
        box_sensitivity=errors.se,
        box_specificity=errors.sp,
        box_swapped=errors.swapped,
        tone_detects=errors.pd,
        walk_ft_per_min=errors.walk_ft_per_min,
        repeat_min=errors.repeat_min,
        tone_setup_min=errors.setup_min,
        tone_min_per_100_ft=site.shape.tone_min_per_100_ft,
        distance_min=errors.distance_min,
    )


def search_by_plan(
    field: Field,
    assumed: Assumptions,
    *,
    tools: Tools = Tools(),  # noqa: B008 - frozen
    knows_hazards: bool = True,
) -> None:
    """Follow the plan until the fault is found or the day is over."""
    belief = prior(line_of(field.site, knows_hazards=knows_hazards), assumed)
    while not field.is_over:
        stand = Stand(field.at, field.open_box, field.tone_from)
        action = next_actions(belief, stand, tools, assumed)[0].action
        if isinstance(action, OpenBox):
            belief = _box(field, belief, action, assumed)
        elif isinstance(action, WalkTone):
            if not field.walk_tone(action.start, action.end):
                belief = update(belief, ToneWalked(action.start, action.end), assumed)
        elif isinstance(action, ReadDistance):
            belief = update(belief, Distance(field.read_distance()), assumed)
            tools = replace(tools, distance_at_controller=False)
        else:
            raise TypeError(f"Expected an action of the standard world, got {action}")


def _box(field: Field, belief: Belief, action: OpenBox, assumed: Assumptions) -> Belief:
    for _ in range(MOST_REPEATS):
        controller_bad, valve_bad = field.test_box(action.box)
        if field.is_over:
            return belief
        belief = update(belief, BoxTest(action.box, controller_bad, valve_bad), assumed)
        if controller_bad != valve_bad:
            break
    return belief
