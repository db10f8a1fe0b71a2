"""Search by the product's own searcher: take its first action, tell it the result, until found."""

from dataclasses import replace

from faults.locating.engines.actions import Action, OpenBox, ReadDistance, WalkTone
from faults.locating.engines.box_tests import BoxTest
from faults.locating.engines.evidence import Reading
from faults.locating.engines.options import Stand, Tools
from faults.locating.engines.other_tests import Distance
from faults.locating.engines.searching import Searcher
from faults.locating.engines.simulation.field import Field
from faults.locating.engines.simulation.known import Known, assumed_in
from faults.locating.engines.simulation.worlds import World
from faults.locating.engines.symptoms import Symptom
from faults.locating.engines.tones import ToneWalked


def search_by_plan(field: Field, known: Known, world: World, tools: Tools) -> Searcher:
    """Follow the plan until the fault is found or the day is over; return the search as it ends."""
    search = Searcher(known.line, Symptom.OPEN, (), assumed_in(world), tools)
    here = {true: point for point, true in enumerate(known.true_point)}
    while not field.is_over:
        stand = Stand(
            here[field.at],
            here.get(field.open_box) if field.open_box is not None else None,
            here.get(field.tone_from) if field.tone_from is not None else None,
        )
        action = search.plan(stand)[0].action
        field.asked.append(action)
        said = _done(field, action, known)
        if said is not None:
            search = replace(search, readings=(*search.readings, said))
    return search


def _done(field: Field, action: Action, known: Known) -> Reading | None:
    """Do an action; None where it found the fault."""
    if isinstance(action, OpenBox):
        sides = field.test_box(known.true_point[action.box])
        return None if field.is_over else BoxTest(action.box, *sides)
    if isinstance(action, WalkTone):
        start, end = (known.true_point[point] for point in (action.start, action.end))
        is_found = field.walk_tone(start, end)
        return None if is_found else ToneWalked(action.start, action.end)
    if isinstance(action, ReadDistance):
        return Distance(field.read_distance())
    raise TypeError(f"Expected an action of the standard world, got {action}")
