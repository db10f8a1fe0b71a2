"""An honest tester of a made-up fault: does what is asked, says what is seen, mends it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from faults.locating.engines import actions
from faults.locating.engines.belief import (
    END_SPLICES,
    SPOILS_CONTROLLER_SIDE,
    SPOILS_VALVE_SIDE,
    Conductor,
    Neighbour,
    Outside,
)
from faults.locating.engines.line import Box, Joint, Leg, Line
from faults.locating.engines.openings import moved, on_parted
from faults.locating.engines.other_tests import AT_CONTROLLER, AT_VALVE, CHECKS, Check
from faults.locating.engines.plain_words import CheckWord
from faults.models import SearchTool, Symptom
from tests.engines.locating.phone_searches import Plain

JOINTS = {"s": Joint.SPLICED, "u": Joint.UNCUT, "n": Joint.NOT_KNOWN}
# What a fault does: no way through, a way to another wire, a bad way through, a way to earth.
OPEN, SHORT, WEAK, LEAK = "open", "short", "weak", "leak"


@dataclass(frozen=True)
class Hidden:
    """What is wrong: a conductor at some feet, the splice of a box, or a cause at an end.

    `shows` says whether a tone or two probes ever show it.
    """

    feet: float = 0.0
    conductor: Conductor = Conductor.HOT
    splice: int | None = None
    cause: Outside | None = None
    nature: str = OPEN
    shows: bool = True


@dataclass
class Case:
    """A line with what is hidden on it, what is at hand, and what was known before the search."""

    name: str
    hidden: list[Hidden]
    feet: tuple[float, ...] = (180.0, 240.0, 150.0, 300.0, 130.0)
    joints: str = "ssss"
    symptom: Symptom = Symptom.OPEN
    neighbours: tuple[Neighbour, ...] = ()
    tools: tuple[SearchTool, ...] = ()
    known: tuple[Plain, ...] = ()
    spares: bool = False

    @property
    def line(self) -> Line:
        """The line as it is registered."""
        legs = tuple(Leg(f"L{i}", feet) for i, feet in enumerate(self.feet))
        return Line(legs, tuple(Box(f"box {i}", JOINTS[j]) for i, j in enumerate(self.joints, 1)))


def with_box(case: Case, opened: actions.OpenGround) -> Case:
    """Return the case with the box that is set where the ground was opened."""
    leg, feet = opened.leg, opened.feet
    parts = (feet, case.feet[leg] - feet)
    return replace(
        case,
        hidden=[on_line(each, leg) for each in case.hidden],
        feet=(*case.feet[:leg], *parts, *case.feet[leg + 1 :]),
        joints=f"{case.joints[:leg]}s{case.joints[leg:]}",
        neighbours=tuple(on_parted(each, leg) for each in case.neighbours),
    )


def on_line(hidden: Hidden, leg: int) -> Hidden:
    """Return a fault on the line with a box more on a leg."""
    return hidden if hidden.splice is None else replace(hidden, splice=moved(hidden.splice, leg))


def said_on(said: Plain, leg: int) -> Plain:
    """Return what was said on the line with a box more on a leg."""
    places = {name: moved(said[name], leg) for name in ("point", "to_point", "leg") if name in said}
    fed = said.get("fed_at")
    return {**said, **places, **({} if fed is None else {"fed_at": moved(fed, leg)})}


class FoundError(Exception):
    """The station runs again."""


class Tester:
    """Does what is asked and says honestly what is seen; mends what is found."""

    def __init__(self, case: Case) -> None:
        self.case, self.line, self.left = case, case.line, list(case.hidden)

    def on(self, case: Case, leg: int) -> "Tester":
        """Return the same tester on the line with a box more on a leg."""
        after = Tester(case)
        after.left = [on_line(each, leg) for each in self.left]
        return after

    def does(self, action: actions.Action) -> Iterator[Plain]:
        """Yield what each part of an action said, as the page records it.

        Raises:
            FoundError: the last fault was found and mended.
        """
        match action:
            case actions.OpenBox(box) | actions.CutBox(box):
                splices = [each for each in self.left if each.splice == box]
                yield {"kind": "box", "point": box, **self._sides(box)}
                if splices:
                    yield from self._mends(splices, {"point": box})
            case actions.MeasureInsulation(box):
                yield {"kind": "insulation", "point": box, **self._sides(box)}
            case actions.ListenAt(box):
                cut = [each for each in self._hot if each.nature == OPEN]
                heard = all(self._feet(each) > self._ft(box) for each in cut)
                yield {"kind": "listened", "point": box, "heard": heard}
            case actions.ClampAt(box):
                flows = all(self._feet(each) > self._ft(box) for each in self._hot)
                yield {"kind": "clamp", "point": box, "flows": flows}
            case actions.VoltsAt(box):
                before = [each for each in self.left if self._spoils_before(each, box)]
                here = [each for each in self.left if each.splice == box]
                yield {
                    "kind": "volts",
                    "point": box,
                    "controller_bad": bool(before),
                    "valve_bad": bool(before or here),
                }
            case actions.WalkTone(start, end, conductor, fed_at):
                found = self._on_way(start, end, conductor)
                if found:
                    yield from self._mends(found[:1], None)
                else:
                    word = "common" if conductor is Conductor.COMMON else "hot"
                    way = {"point": start, "to_point": end, "fed_at": fed_at, "conductor": word}
                    yield {"kind": "tone walked", **way}
            case actions.WalkGradient(start, end):
                low, high = sorted((self._ft(start), self._ft(end)))
                leaks = [each for each in self.left if each.nature == LEAK and each.shows]
                found = [each for each in leaks if low <= each.feet <= high]
                if found:
                    yield from self._mends(found[:1], None)
                else:
                    yield {"kind": "gradient walked", "point": start, "to_point": end}
            case actions.ReadDistance(from_valve):
                feet = min(self._feet(each) for each in self.left)
                read = self.line.length_ft - feet if from_valve else feet
                yield {"kind": "distance", "feet": read * 1.02, "from_valve": from_valve}
            case actions.ReadOhms():
                yield {"kind": "ohms", "ohms": self._ohms(), "joined": False}
            case actions.CheckController() | actions.CheckValve():
                is_valve = isinstance(action, actions.CheckValve)
                for check in AT_VALVE if is_valve else AT_CONTROLLER:
                    yield from self._checks(check)
            case actions.ProveWire():
                yield from self._checks(Check.WIRE)
            case actions.BypassLeg(leg):
                others = [each for each in self.left if not self._is_on(each, leg)]
                yield {"kind": "bypass", "leg": leg, "works": not others}
            case actions.RenewLeg(leg, conductor):
                found = [each for each in self.left if self._is_on(each, leg, conductor)]
                self.left = [each for each in self.left if each not in found]
                if not self.left:
                    raise FoundError
                word = "common" if conductor is Conductor.COMMON else "hot"
                made = {"leg": leg, "conductor": word, "stays": True, "works": False}
                yield {"kind": "bypass", **made}
            case actions.MoveToSpare():
                # A spare is put on the right terminal.
                served = [
                    each
                    for each in self.left
                    if each.cause is not Outside.WRONG_WIRE
                    and (each.cause or each not in self._hot)
                ]
                if not served:
                    raise FoundError
                yield {"kind": "spare", "works": False}
            case _:
                raise TypeError(f"Expected an action that a tester knows, got {action}")

    @property
    def _hot(self) -> list[Hidden]:
        """What keeps a tone or a current on the hot wire from going on."""
        ends = Outside.CONTROLLER_SPLICE
        return [
            each
            for each in self.left
            if each.cause is ends or (each.cause is None and each.conductor is not Conductor.COMMON)
        ]

    def _ohms(self) -> str:
        """What the loop of wire, coil and common reads: open, where anything is."""
        in_loop = {Outside.COIL, *END_SPLICES}
        natures = {each.nature for each in self.left if each.cause is None or each.cause in in_loop}
        if OPEN in natures:
            return "open"
        if SHORT in natures:
            is_coil = any(each.cause is Outside.COIL for each in self.left)
            return "coil low" if is_coil else "dead short"
        return "high" if WEAK in natures else "as expected"

    def _checks(self, check: Check) -> Iterator[Plain]:
        guilty = [each for each in self.left if each.cause is CHECKS[check]]
        word = CheckWord[check.name].value
        is_right = not guilty
        if check is Check.COMMON and self.case.neighbours:
            # Another station is tried: none that runs is none on this common.
            is_right = any(each.works for each in self.case.neighbours if each.is_on_ours)
        yield {"kind": "check", "check": word, "is_right": is_right}
        if guilty:
            yield from self._mends(guilty, {"check": word})

    def _mends(self, found: list[Hidden], place: Plain | None) -> Iterator[Plain]:
        self.left = [each for each in self.left if each not in found]
        if not self.left:
            raise FoundError
        if place is None and found[0].splice is not None:
            place = {"point": found[0].splice}
        yield {"kind": "mended", **(place or {"leg": self._leg(found[0])})}

    def _on_way(self, start: int, end: int, conductor: Conductor) -> list[Hidden]:
        """What the tone shows on the way, the nearest to its start first."""
        low, high = sorted((self._ft(start), self._ft(end)))
        heard = {conductor, Conductor.BUNDLE}
        there = [
            each
            for each in self.left
            if each.shows and each.cause is None and low <= self._feet(each) <= high
            if each.conductor in heard and (each.splice is None or conductor is Conductor.HOT)
        ]
        return sorted(there, key=lambda each: abs(self._feet(each) - self._ft(start)))

    def _sides(self, box: int) -> Plain:
        before = any(self._spoils_before(each, box) for each in self.left)
        beyond = any(
            each.cause in SPOILS_VALVE_SIDE
            or (each.cause is None and self._feet(each) > self._ft(box))
            for each in self.left
        )
        return {"controller_bad": before, "valve_bad": beyond}

    def _spoils_before(self, each: Hidden, box: int) -> bool:
        in_wire = each.cause is None and self._feet(each) < self._ft(box)
        return in_wire or each.cause in SPOILS_CONTROLLER_SIDE

    def _is_on(self, each: Hidden, leg: int, conductor: Conductor = Conductor.HOT) -> bool:
        is_common = conductor is Conductor.COMMON
        in_leg = each.cause is None and each.splice is None and self._leg(each) == leg
        return in_leg and (each.conductor is Conductor.COMMON) == is_common

    def _leg(self, each: Hidden) -> int:
        return int((self.line.point_ft[1:-1] <= each.feet).sum())

    def _feet(self, each: Hidden) -> float:
        if each.splice is not None:
            return self._ft(each.splice)
        if each.cause is None:
            return each.feet
        return 0.0 if each.cause in SPOILS_CONTROLLER_SIDE else self.line.length_ft

    def _ft(self, point: int) -> float:
        return float(self.line.point_ft[point])
