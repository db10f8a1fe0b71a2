"""What instruments at the controller read of a mixed case: ohms, and the distance to a fault."""

import numpy as np

from faults.locating.engines.belief import SPOILS_VALVE_SIDE, Outside
from faults.locating.engines.evidence import Likelihood
from faults.locating.engines.seen import Ohms, OhmsRead
from faults.locating.engines.simulation.mixed_cases import Fault
from faults.locating.engines.simulation.mixed_field import MixedField


def read_ohms(field: MixedField) -> Ohms:
    """Read ohms at the controller, drawn as the first of the faults makes them."""
    field.go(0)
    field.minutes += field.truth.read_ohms_min
    chances = [OhmsRead(ohms).likelihood(field.line, field.truth) for ohms in Ohms]
    of = np.array([max(_chance(each, fault) for fault in field.left) for each in chances])
    return list(Ohms)[int(field.rng.choice(len(of), p=of / of.sum()))]


def _chance(seen: Likelihood, fault: Fault) -> float:
    if fault.cause is not None:
        return seen.outside[fault.cause]
    return float(seen.splice[fault.splice] if fault.splice else np.ravel(seen.legs)[0])


def read_distance(field: MixedField) -> float:
    """Read the distance from the controller to the nearest fault, in feet."""
    field.go(0)
    field.minutes += field.errors.distance_min
    total = field.line.length_ft
    feet = [_electrical_ft(field, fault) for fault in field.left]
    known = [ft for ft in feet if ft is not None]
    if not known or field.rng.random() < field.errors.distance_useless:
        return float(field.rng.uniform(0, total))
    sd = np.hypot(field.errors.distance_sd_ft, field.errors.distance_sd_share * min(known))
    return float(field.rng.normal(min(known), sd))


def _electrical_ft(field: MixedField, fault: Fault) -> float | None:
    ends = dict.fromkeys((Outside.OUTPUT, Outside.CONTROLLER_SPLICE), 0.0)
    ends |= dict.fromkeys(SPOILS_VALVE_SIDE, field.line.length_ft)
    return fault.feet if fault.cause is None else ends.get(fault.cause)
