"""A box that is set where the ground was opened: all that lies beyond it counts one more."""

from dataclasses import replace

from faults.locating.engines.actions import OpenGround
from faults.locating.engines.openings import moved, on_parted, parted_line
from faults.locating.engines.plain import reading_from
from faults.locating.engines.plain_values import Ids
from faults.locating.engines.plain_words import READINGS, write_tagged
from faults.locating.engines.searching import Searcher
from faults.locating.engines.simulation.mixed_cases import Fault
from faults.locating.engines.simulation.mixed_field import MixedField


def open_ground(field: MixedField, leg: int, feet: float) -> tuple[bool, bool]:
    """Dig to the wire on a leg, cut it, set a box, test both sides: (controller's, valve's) bad."""
    truth, box = field.truth, leg + 1

    def on(fault: Fault) -> Fault:
        return replace(fault, splice=None if fault.splice is None else moved(fault.splice, leg))

    field.line = parted_line(field.line, leg, feet, open_min=truth.open_box_min)
    field.valve += 1
    field.left, field.never = [on(each) for each in field.left], {on(e) for e in field.never}
    field.cut = {moved(each, leg) for each in field.cut}
    field.opened = [moved(each, leg) for each in field.opened]
    field.heard = {(how, moved(at, leg)): said for (how, at), said in field.heard.items()}
    field.at, field.open_box = moved(field.at, leg), None
    if field.tone_from is not None:
        field.tone_from = moved(field.tone_from, leg)
    field.go(box)
    field.minutes += truth.open_ground_min + truth.cut_uncut_min + truth.lasting_splice_min
    field.open_box = box
    return field.test_sides(box)


def with_box(search: Searcher, opened: OpenGround) -> Searcher:
    """Enter the box that is set in the ground, as a leg is split in a register."""
    leg, count = opened.leg, len(search.line.legs)
    line = parted_line(search.line, leg, opened.feet, open_min=search.assumed.open_box_min)
    # What was said of the leg as a whole is said of its first half alone.
    before = Ids(
        tuple(moved(point, leg) for point in range(count + 1)),
        tuple(moved(each, leg) for each in range(count)),
    )
    after = Ids(tuple(range(count + 2)), tuple(range(count + 1)))
    return replace(
        search,
        line=line,
        neighbours=tuple(on_parted(each, leg) for each in search.neighbours),
        readings=tuple(
            reading_from(write_tagged(READINGS, each, before, "kind"), after)
            for each in search.readings
        ),
    )
