"""The line as the search has left it: what open boxes showed, and which wires were cut."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from faults.locating.engines.box_tests import TwoSided
from faults.locating.engines.evidence import Reading
from faults.locating.engines.line import Joint, Line
from faults.locating.engines.seen import Looked


def as_seen(line: Line, readings: Sequence[Reading]) -> Line:
    """Return the line with each wire as it was seen in its open box; the last look holds."""
    seen = {
        each.box: each.joint
        for each in readings
        if isinstance(each, Looked) and each.joint is not Joint.NOT_KNOWN
    }
    return _with(line, seen)


def as_cut(line: Line, readings: Sequence[Reading]) -> Line:
    """Return the line with a splice in each box whose wire was cut for a test: a way in."""
    cut = {each.box: Joint.SPLICED for each in readings if isinstance(each, TwoSided)}
    return _with(line, cut)


def is_cut_in(readings: Sequence[Reading], box: int | None) -> bool:
    """Whether the splice of a box was cut out since it was opened: by the last tests, all there."""
    for each in reversed(readings):
        if getattr(each, "box", getattr(each, "point", None)) != box:
            return False
        if isinstance(each, TwoSided):
            return True
    return False


def _with(line: Line, joints: Mapping[int, Joint]) -> Line:
    if not joints:
        return line
    for box in joints:
        line.check_box(box)
    boxes = tuple(
        replace(box, joint=joints.get(i, box.joint)) for i, box in enumerate(line.boxes, start=1)
    )
    return replace(line, boxes=boxes)
