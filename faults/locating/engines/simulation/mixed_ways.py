"""Simple ways to search a mixed case, as people do it by habit.

Each looks at the controller first, where it stands. What a way does not find along the hot wire
is then sought as people do: at the valve, along the common, at the controller again, and at last
by proving that it is this wire.
"""

from collections.abc import Callable

from faults.locating.engines.belief import Conductor
from faults.locating.engines.line import Joint
from faults.locating.engines.simulation.mixed_field import MixedField
from faults.locating.engines.simulation.simple_ways import MOST_REPEATS


def tone_end_to_end(field: MixedField) -> None:
    """Walk the whole wire with the tone."""
    field.check(at_valve=False)
    _everything(field)


def box_by_box(field: MixedField) -> None:
    """Open one box after the other from the controller; walk the leg before the first bad one."""
    field.check(at_valve=False)
    left, right = 0, field.valve
    for box in range(1, field.valve):
        if field.is_over:
            return
        if _is_before(field, box):
            right = box
            break
        left = box
    _pinpoint(field, left, right)


def half_split(field: MixedField) -> None:
    """Open the middle of the boxes that are left, by count."""
    field.check(at_valve=False)
    left, right = 0, field.valve
    while right - left > 1 and not field.is_over:
        box = (left + right) // 2
        left, right = (left, box) if _is_before(field, box) else (box, right)
    _pinpoint(field, left, right)


def _is_before(field: MixedField, box: int) -> bool:
    """Whether a fault lies before the box; an ambiguous pair is tested again.

    A wire that passes uncut is listened to, except for a short, which lets the tone pass.
    """
    is_cut = field.case.known_line.boxes[box - 1].joint is Joint.SPLICED
    if not (is_cut or field.is_short):
        return not field.listen(box)
    for _ in range(MOST_REPEATS):
        controller_bad, valve_bad = field.test_box(box)
        if field.is_over or controller_bad != valve_bad:
            return controller_bad
    return controller_bad


def _pinpoint(field: MixedField, left: int, right: int) -> None:
    """Walk one leg from both its ends, look at the end of the wire if it is the last, then all."""
    start, end = (left, right) if field.at == left else (right, left)
    for a, b in ((start, end), (end, start)):
        if field.is_over or field.walk_tone(a, b):
            break
    if right == field.valve and not field.is_over:
        field.check(at_valve=True)
    _everything(field)


def _everything(field: MixedField) -> None:
    """Walk the whole hot wire, look at the valve, walk the common back, look at the controller."""
    while not field.is_over:
        field.walk_tone(0, field.valve)
        if not field.is_over:
            field.check(at_valve=True)
        if not field.is_over:
            field.walk_tone(field.valve, 0, Conductor.COMMON)
        if not field.is_over:
            field.check(at_valve=False)
        if not field.is_over:
            field.prove_wire()


MIXED_WAYS: dict[str, Callable[[MixedField], None]] = {
    "tone": tone_end_to_end,
    "box_by_box": box_by_box,
    "halving": half_split,
}
