"""Finished searches as evidence: where the fault was, what was read, what each step took."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import IN_VALVE_BOX, Outside
from faults.locating.engines.evidence import Reading, UnusableReading
from faults.locating.engines.learning_evidence import WALK, Finished, Took, Truth, UnusableEvidence
from faults.locating.engines.line import Line, UnusableLine
from faults.locating.engines.plain import line_from, reading_from
from faults.locating.engines.plain_values import UnusablePlain
from faults.locating.services.beliefs import SYMPTOMS
from faults.models import KindOfTest, Search, SearchOutcome, SearchReading, Symptom

# The words by which a cause outside the wire is kept at the end of a search.
CAUSES = {
    "output": Outside.OUTPUT,
    "common": Outside.COMMON_TERMINAL,
    "coil": Outside.COIL,
    "water": Outside.WATER,
    "controller splice": Outside.CONTROLLER_SPLICE,
    "valve splice": Outside.VALVE_SPLICE,
    "master": Outside.MASTER,
    "wire": Outside.WRONG_WIRE,
}
# Fed at the valve and heard at the controller: its way is no walk between two tests.
PROOF = "wire"
AT_VALVE = tuple(word for word, cause in CAUSES.items() if cause in IN_VALVE_BOX)
# A pause longer than this was lunch, not work.
LONGEST_STEP_MIN = 90.0
PACE_OF = {
    KindOfTest.BOX: "open_box_min",
    KindOfTest.INSULATION: "open_box_min",
    KindOfTest.LISTENED: "open_box_min",
    KindOfTest.VOLTS: "open_box_min",
    KindOfTest.DISTANCE: "distance_min",
    KindOfTest.BYPASS: "jumper_min",
}


def finished_from(search: Search, assumed: Assumptions) -> Finished | None:
    """Return a finished search as evidence, or None where it tells nothing.

    Args:
        search: with its readings prefetched, and `found` and `fault` read with it.
    """
    try:
        known = line_from(search.line)
        truth = _truth(search, known.ids.legs, known.line)
        if truth is None:
            return None
        rows = [row for row in search.readings.all() if row.voided_at is None]
        rows.sort(key=lambda row: (row.taken_at, row.pk))
        readings = [
            reading_from(row.said, known.ids, soil_is_dry=search.soil_is_dry) for row in rows
        ]
        return Finished(
            line=known.line,
            truth=truth,
            readings=tuple(readings),
            took=tuple(_took(known.line, rows, readings, assumed)),
            symptom=SYMPTOMS[Symptom(search.fault.symptom)],
            soil_is_dry=search.soil_is_dry,
            predicted=_predicted(search, truth),
        )
    except (UnusablePlain, UnusableLine, UnusableReading, UnusableEvidence):
        return None


def _truth(search: Search, legs: Sequence[object], line: Line) -> Truth | None:
    if search.outcome == SearchOutcome.NOT_THE_WIRE:
        cause = CAUSES.get(search.found_outside)
        return Truth(cause=cause) if cause else None
    found = search.found
    if found is None or found.leg_id not in legs:
        return None
    return Truth(leg=list(legs).index(found.leg_id))


def _predicted(search: Search, truth: Truth) -> float | None:
    """The likelihood that the place had at the end of the search."""
    if truth.cause is not None:
        share = search.final.get("outside", {}).get(truth.cause.value)
    else:
        share = search.final.get("legs", {}).get(str(search.found.leg_id if search.found else ""))
    return None if share is None else float(share)


def _took(
    line: Line,
    rows: Sequence[SearchReading],
    readings: Sequence[Reading],
    assumed: Assumptions,
) -> Iterator[Took]:
    """Divide the minutes between two tests over the walk and the test as the numbers expect.

    Nobody holds a watch to each: what a step took longer than expected is laid on both alike.
    """
    for (before, row), (earlier, reading) in zip(pairwise(rows), pairwise(readings), strict=True):
        minutes = (row.taken_at - before.taken_at).total_seconds() / 60
        what = _pace(row)
        if what is None or not 0 < minutes <= LONGEST_STEP_MIN:
            continue
        feet = abs(_feet(line, reading) - _feet(line, earlier))
        walk = feet / assumed.walk_ft_per_min
        here: float = getattr(assumed, what)
        factor = minutes / (walk + here)
        if feet > 0:
            yield Took(WALK, walk * factor, feet)
        yield Took(what, here * factor, 1.0)


def _pace(row: SearchReading) -> str | None:
    if row.kind == KindOfTest.CHECK and row.said.get("check") == PROOF:
        return None
    if row.kind == KindOfTest.CHECK:
        return "coil_min" if row.said.get("check") in AT_VALVE else "terminals_min"
    return PACE_OF.get(KindOfTest(row.kind))


def _point(line: Line, reading: Reading) -> int:
    point = getattr(reading, "box", None)
    if point is None and getattr(reading, "from_valve", False):
        return len(line.boxes) + 1
    return int(point or 0)


def _feet(line: Line, reading: Reading) -> float:
    end = getattr(reading, "end", None)
    return float(line.point_ft[_point(line, reading) if end is None else end])
