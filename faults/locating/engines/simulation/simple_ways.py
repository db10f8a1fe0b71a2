"""Simple ways to search, as people do it by habit. The plan never imports this."""

from collections.abc import Callable

from faults.locating.engines.simulation.field import Field

MOST_REPEATS = 6


def tone_end_to_end(field: Field) -> None:
    """Walk the whole wire with the tone, there and back, until it is found."""
    last = field.site.boxes + 1
    start, end = 0, last
    while not field.is_over:
        if field.walk_tone(start, end):
            return
        start, end = end, start


def box_by_box(field: Field) -> None:
    """Open one box after the other from the controller; walk the leg before the first bad one."""
    left, right = 0, field.site.boxes + 1
    for box in range(1, field.site.boxes + 1):
        is_before = _side(field, box)
        if field.is_over:
            return
        if is_before:
            right = box
            break
        left = box
    _pinpoint(field, left, right)


def half_split(field: Field) -> None:
    """Open the middle of the boxes that are left, by count."""
    left, right = 0, field.site.boxes + 1
    while right - left > 1:
        box = (left + right) // 2
        is_before = _side(field, box)
        if field.is_over:
            return
        left, right = (left, box) if is_before else (box, right)
    _pinpoint(field, left, right)


def _side(field: Field, box: int) -> bool:
    """Whether the fault lies before the box; an ambiguous pair is tested again."""
    for _ in range(MOST_REPEATS):
        controller_bad, valve_bad = field.test_box(box)
        if field.is_over or controller_bad != valve_bad:
            return controller_bad
    return False


def _pinpoint(field: Field, left: int, right: int) -> None:
    """Walk one leg from where one stands, then from its other end, then the whole wire."""
    start, end = (left, right) if field.at == left else (right, left)
    if field.at not in (left, right):
        start, end = left, right
    for a, b in ((start, end), (end, start)):
        if field.walk_tone(a, b):
            return
    tone_end_to_end(field)


SIMPLE_WAYS: dict[str, Callable[[Field], None]] = {
    "tone": tone_end_to_end,
    "box_by_box": box_by_box,
    "halving": half_split,
}
