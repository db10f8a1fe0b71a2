"""Invented cases of every kind: hot wire, common, bundle, splices, outside causes, two at once.

A box that nobody knows of is a place on a leg: nobody opens it; its bad splice is a break there.
"""

from dataclasses import dataclass, replace

import numpy as np

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import END_SPLICES, Belief, Conductor, Neighbour, Outside, prior
from faults.locating.engines.line import Box, Joint, Leg, Line
from faults.locating.engines.simulation.sites import Shape, Site, draw_site
from faults.locating.engines.simulation.worlds import Mix
from faults.locating.engines.symptoms import Symptom

USUAL = Assumptions()


@dataclass(frozen=True)
class Fault:
    """What is wrong at one place: a conductor at some feet, the splice of a box, or a cause."""

    conductor: Conductor | None = None
    feet: float = 0.0
    splice: int | None = None
    cause: Outside | None = None


@dataclass(frozen=True)
class Case:
    """A line as it is and as it is known, its faults, and what other stations do."""

    true_line: Line
    known_line: Line
    faults: tuple[Fault, ...]
    symptom: Symptom
    neighbours: tuple[Neighbour, ...]


def draw_case(rng: np.random.Generator, shape: Shape, mix: Mix) -> Case:
    """Draw a case: faults come as often as the plan's own numbers say, two of them by the mix."""
    site = draw_site(rng, shape)
    is_uncut = rng.random(site.boxes) < mix.uncut
    is_known = rng.random(site.boxes) >= mix.joint_not_known
    joints = [Joint.UNCUT if uncut else Joint.SPLICED for uncut in is_uncut]
    seen = [
        joint if known else Joint.NOT_KNOWN for joint, known in zip(joints, is_known, strict=True)
    ]
    true_line = _line(site, joints)
    symptom = Symptom.SHORT if rng.random() < mix.shorts else Symptom.OPEN
    believed = prior(true_line, USUAL)
    count = 2 if rng.random() < mix.two_faults else 1
    faults = tuple(_fault(believed, symptom, rng) for _ in range(count))
    others = [_neighbour(true_line, faults, rng) for _ in range(mix.neighbours)]
    told = tuple(each for each in others if rng.random() >= mix.untried)
    case = Case(true_line, _line(site, seen), faults, symptom, told)
    # Drawn last, so that a case is else the same whatever the share.
    is_hidden, hidden = rng.random() < mix.unknown_box, int(rng.integers(1, site.boxes + 1))
    return without_box(case, hidden) if is_hidden else case


def without_box(case: Case, box: int) -> Case:
    """Return a case of which nobody knows this box: two legs are taken for one."""
    faults = tuple(_fault_without(each, box) for each in case.faults)
    neighbours = tuple(
        replace(
            each, shares=_legs_without(each.shares, box), common=_legs_without(each.common, box)
        )
        for each in case.neighbours
    )
    true_line, known_line = (_line_without(of, box) for of in (case.true_line, case.known_line))
    return Case(true_line, known_line, faults, case.symptom, neighbours)


def _fault_without(fault: Fault, box: int) -> Fault:
    if fault.splice == box:
        return Fault(Conductor.HOT, fault.feet)
    if fault.splice is not None and fault.splice > box:
        return replace(fault, splice=fault.splice - 1)
    return fault


def _legs_without(legs: frozenset[int], box: int) -> frozenset[int]:
    return frozenset(leg - (leg >= box) for leg in legs)


def _line_without(line: Line, box: int) -> Line:
    first, second = line.legs[box - 1], line.legs[box]
    feet = first.length_ft + second.length_ft

    def of_both(name: str) -> float:
        of = (getattr(leg, name) * leg.length_ft for leg in (first, second))
        return float(sum(of)) / feet

    whole = replace(
        first,
        length_ft=feet,
        hazard_factor=of_both("hazard_factor"),
        tone_factor=of_both("tone_factor"),
    )
    legs = (*line.legs[: box - 1], whole, *line.legs[box + 1 :])
    return Line(legs, line.boxes[: box - 1] + line.boxes[box:])


def _line(site: Site, joints: list[Joint]) -> Line:
    per_100_ft = site.shape.tone_min_per_100_ft / 100
    legs = tuple(
        Leg(
            str(i),
            float(feet),
            years=0.0,
            hazard_factor=float(site.hazard[i]),
            tone_factor=float(site.tone_min[i] / feet / per_100_ft),
        )
        for i, feet in enumerate(site.leg_ft)
    )
    boxes = tuple(Box(str(i), joint, float(site.box_min[i])) for i, joint in enumerate(joints))
    return Line(legs, boxes)


def _fault(believed: Belief, symptom: Symptom, rng: np.random.Generator) -> Fault:
    """A short lies in the hot wire, the bundle, a splice or the coil; an open anywhere."""
    legs, causes = believed.legs.copy(), dict(believed.outside)
    if symptom is Symptom.SHORT:
        legs[list(Conductor).index(Conductor.COMMON)] = 0
        causes = {cause: causes[cause] for cause in (Outside.COIL, *END_SPLICES)}
    weights = np.concatenate([legs.ravel(), believed.splice, list(causes.values())])
    at = int(rng.choice(len(weights), p=weights / weights.sum()))
    if at < legs.size:
        conductor, cell = divmod(at, legs.shape[1])
        return Fault(list(Conductor)[conductor], float(believed.line.cell_ft[cell]))
    at -= legs.size
    if at < len(believed.splice):
        return Fault(splice=at, feet=float(believed.line.point_ft[at]))
    return Fault(cause=list(causes)[at - len(believed.splice)])


def _neighbour(line: Line, faults: tuple[Fault, ...], rng: np.random.Generator) -> Neighbour:
    """Another station, whose wire leaves ours at some point; dead by what it shares."""
    legs = frozenset(range(int(rng.integers(1, len(line.legs) + 1))))
    reach_ft = float(line.point_ft[len(legs)])
    dead = max(_dead(fault, reach_ft) for fault in faults)
    return Neighbour(works=bool(rng.random() >= dead), shares=legs, common=legs)


def _dead(fault: Fault, reach_ft: float) -> float:
    if fault.cause in (Outside.COMMON_TERMINAL, Outside.MASTER):
        return USUAL.neighbour_by_common
    is_on_its_way = fault.cause is None and fault.feet <= reach_ft
    if fault.conductor is Conductor.COMMON and is_on_its_way:
        return USUAL.neighbour_by_common
    if fault.conductor is Conductor.BUNDLE and is_on_its_way:
        return USUAL.neighbour_dead_if_bundle
    return USUAL.neighbour_otherwise
