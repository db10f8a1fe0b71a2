"""What a plan knows of a site: not always what is so."""

import itertools
from dataclasses import dataclass

import numpy as np

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.line import Box, Leg, Line
from faults.locating.engines.simulation.sites import Site
from faults.locating.engines.simulation.worlds import World


@dataclass(frozen=True)
class Known:
    """The line as the plan has it, and which true point each of its points is."""

    line: Line
    true_point: tuple[int, ...]


def known_of(site: Site, world: World, rng: np.random.Generator) -> Known:
    """Return the line as it is known; draws only what the world gets wrong."""
    hidden = int(rng.integers(1, site.boxes + 1)) if world.unknown_box and site.boxes > 1 else None
    points = [point for point in range(site.boxes + 2) if point != hidden]
    hazards = site.hazard if world.knows_hazards else np.ones(len(site.leg_ft))
    legs = []
    for i, (start, end) in enumerate(itertools.pairwise(points)):
        feet = site.leg_ft[start:end]
        wrong = rng.uniform(1 - world.length_error, 1 + world.length_error)
        legs.append(
            Leg(
                str(i),
                float(feet.sum() * (wrong if world.length_error else 1.0)),
                years=0.0,
                hazard_factor=float((hazards[start:end] * feet).sum() / feet.sum()),
                tone_factor=float(site.tone_min[start:end].sum() / feet.sum())
                / (site.shape.tone_min_per_100_ft / 100),
            )
        )
    boxes = tuple(Box(str(p), open_min=float(site.box_min[p - 1])) for p in points[1:-1])
    return Known(Line(tuple(legs), boxes), tuple(points))


def assumed_in(world: World) -> Assumptions:
    """Return the assumptions of a plan in a world of one fault in the wire."""
    errors, factor = world.errors, world.error_factor
    return Assumptions(
        p_output=0.0,
        p_common_terminal=0.0,
        p_coil=0.0,
        p_water=0.0,
        p_controller_splice=0.0,
        p_wrong_wire=0.0,
        p_valve_splice=0.0,
        p_master=0.0,
        common_share=0.0,
        two_faults=0.0,
        never_shows=0.0,
        splice_counts_as_ft=world.shape.splice_counts_as_ft,
        box_sensitivity=1 - (1 - errors.se) * factor,
        box_specificity=1 - (1 - errors.sp) * factor,
        box_swapped=errors.swapped * factor,
        tone_detects=errors.pd,
        walk_ft_per_min=errors.walk_ft_per_min,
        repeat_min=errors.repeat_min,
        tone_setup_min=errors.setup_min,
        tone_min_per_100_ft=world.shape.tone_min_per_100_ft,
        distance_min=errors.distance_min,
        distance_sd_ft=errors.distance_sd_ft,
        distance_sd_share=errors.distance_sd_share,
        distance_useless=errors.distance_useless,
    )
