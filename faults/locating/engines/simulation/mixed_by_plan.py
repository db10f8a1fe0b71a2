"""Search a mixed case by the product's own searcher: do what it says first, tell it the result.

What is found is mended, and the search is told so; that two faults are possible, and when to ask
something else, is the searcher's to know.
"""

from collections.abc import Iterator
from dataclasses import replace

from faults.locating.engines.actions import (
    Action,
    CheckController,
    CheckValve,
    ClampAt,
    CutBox,
    ListenAt,
    OpenBox,
    OpenGround,
    ProveWire,
    ReadDistance,
    ReadOhms,
    RenewLeg,
    WalkTone,
)
from faults.locating.engines.box_tests import BoxTest, Clamped, Listened
from faults.locating.engines.evidence import Reading
from faults.locating.engines.mends import Mended
from faults.locating.engines.options import Stand, Tools
from faults.locating.engines.other_tests import Bypassed, Check, Checked, Distance
from faults.locating.engines.searching import Searcher
from faults.locating.engines.seen import OhmsRead
from faults.locating.engines.simulation.mixed_cases import USUAL, Fault
from faults.locating.engines.simulation.mixed_field import MixedField
from faults.locating.engines.simulation.mixed_meters import read_distance, read_ohms
from faults.locating.engines.simulation.set_boxes import open_ground, with_box
from faults.locating.engines.tones import ToneWalked


def search_mixed_by_plan(field: MixedField, tools: Tools) -> Searcher:
    """Follow the plan until every fault is found or the day is over."""
    case = field.case
    search = Searcher(
        case.known_line,
        case.symptom,
        case.neighbours,
        USUAL,
        replace(tools, clamp=True, renew=True, open_ground=True, ohms=True),
    )
    while not field.is_over:
        stand = Stand(field.at, field.open_box, field.tone_from, field.tone_on)
        options = search.plan(stand)
        if not options:
            # Nothing more can be told: the page says so, and the search ends unfinished.
            break
        action = options[0].action
        field.asked.append(action)
        if isinstance(action, OpenGround):
            search = with_box(search, action)
        said = tuple(Doing(field).results(action))
        if not field.is_over:
            search = replace(search, readings=(*search.readings, *said))
    return search


class Doing:
    def __init__(self, field: MixedField) -> None:
        self.field = field
        self.left = list(field.left)

    @property
    def _found(self) -> list[Fault]:
        return [fault for fault in self.left if fault not in self.field.left]

    def results(self, action: Action) -> Iterator[Reading]:
        """Do an action and tell what it said; what was found is mended."""
        field = self.field
        match action:
            case OpenBox(box) | CutBox(box):
                sides = field.test_box(box)
                yield BoxTest(box, *sides, runs=False)
                # A splice that was to blame is cut out: its sides tell of what else is wrong.
                if self._found:
                    yield Mended(box=box)
            case OpenGround(leg, feet):
                yield BoxTest(leg + 1, *open_ground(field, leg, feet), runs=None)
            case ListenAt(box):
                yield Listened(box, field.listen(box))
            case ClampAt(box):
                yield Clamped(box, field.clamp(box))
            case WalkTone(start, end, conductor):
                found = field.walk_tone(start, end, conductor)
                yield self._mended(found) if found else ToneWalked(start, end, conductor)
            case ReadDistance():
                yield Distance(read_distance(field))
            case ReadOhms():
                yield OhmsRead(read_ohms(field))
            case CheckController() | CheckValve():
                said = self.field.check(at_valve=isinstance(action, CheckValve))
                yield from self._checked(said)
            case ProveWire():
                yield from self._checked({Check.WIRE: field.prove_wire()})
            case RenewLeg(leg, conductor):
                field.renew(leg, conductor)
                yield Bypassed(leg, works=False, conductor=conductor, stays=True)
            case _:
                raise TypeError(f"Expected an action of a mixed world, got {action}")

    def _checked(self, said: dict[Check, bool]) -> Iterator[Reading]:
        """A part that reads wrong is replaced; the station is tried again."""
        for check, is_right in said.items():
            yield Checked(check, is_right)
            if not is_right:
                yield Mended(check=check)

    def _mended(self, fault: Fault) -> Mended:
        if fault.splice is not None:
            return Mended(box=fault.splice)
        feet = self.field.line.point_ft
        return Mended(leg=int((feet[1:-1] < fault.feet).sum()))
