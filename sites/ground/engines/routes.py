"""Routes: the way a wire takes through the legs, from one point to another.

A wire's legs form a tree. A ring is legal in the ground, but feet along it make no sense, so it
is refused by name.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite


class UnableToRoute(Exception):
    """The legs do not lead from the one point to the other in exactly one way."""


class RingRefused(UnableToRoute):
    """The legs close a ring, so that there is more than one way."""


class NotConnected(UnableToRoute):
    """The legs do not connect the two points."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """One leg as the network sees it.

    Raises:
        ValueError: the length is negative or no number, or the leg leads from a point to itself.
    """

    leg: int
    start: int
    end: int
    length_ft: float

    def __post_init__(self) -> None:
        if not (isfinite(self.length_ft) and self.length_ft >= 0):
            raise ValueError(f"Expected length_ft >= 0, got {self.length_ft}")
        if self.start == self.end:
            raise ValueError(f"Expected two different points, got {self.start} twice")


@dataclass(frozen=True, slots=True)
class Step:
    """One leg of a route. `forward` = walked from the leg's first point to its second."""

    leg: int
    from_point: int
    to_point: int
    from_ft: float
    length_ft: float
    forward: bool

    @property
    def to_ft(self) -> float:
        """Feet along the route at the far end of this leg."""
        return self.from_ft + self.length_ft

    def feet_along_route(self, feet_along_leg: float) -> float:
        """Return feet along the route for feet along the leg from the leg's first point."""
        inside = min(max(feet_along_leg, 0.0), self.length_ft)
        return self.from_ft + (inside if self.forward else self.length_ft - inside)


def route(stretches: Sequence[Stretch], *, start: int, end: int) -> list[Step]:
    """Return the legs from `start` to `end` in order of walking.

    Args:
        stretches: the legs that the wire lies in, in any order.
        start, end: points.

    Raises:
        RingRefused: the part that is reached from `start` holds a ring.
        NotConnected: `end` cannot be reached.
    """
    came_by = _walk(stretches, start)
    if end not in came_by:
        raise NotConnected("The legs of this wire do not lead from the controller to the valve.")
    back: list[tuple[Stretch, int]] = []
    here = end
    while here != start:
        stretch = came_by[here]
        assert stretch is not None
        there = stretch.start if stretch.end == here else stretch.end
        back.append((stretch, there))
        here = there
    return _measure(back)


def _walk(stretches: Sequence[Stretch], start: int) -> dict[int, Stretch | None]:
    """Return for each point that can be reached the leg by which it is reached first."""
    at: dict[int, list[Stretch]] = defaultdict(list)
    for stretch in stretches:
        at[stretch.start].append(stretch)
        at[stretch.end].append(stretch)
    came_by: dict[int, Stretch | None] = {start: None}
    waiting = [start]
    while waiting:
        here = waiting.pop()
        for stretch in at[here]:
            if stretch is came_by[here]:
                continue
            there = stretch.end if stretch.start == here else stretch.start
            if there in came_by:
                raise RingRefused(
                    "The legs of this wire close a ring, so feet along it have no meaning."
                )
            came_by[there] = stretch
            waiting.append(there)
    return came_by


def _measure(back: Sequence[tuple[Stretch, int]]) -> list[Step]:
    steps: list[Step] = []
    along = 0.0
    for stretch, from_point in reversed(back):
        forward = stretch.start == from_point
        to_point = stretch.end if forward else stretch.start
        steps.append(Step(stretch.leg, from_point, to_point, along, stretch.length_ft, forward))
        along += stretch.length_ft
    return steps


@dataclass(frozen=True, slots=True)
class Place:
    """Where a point stands on a plane, in feet; y grows to the north or down the page."""

    x_ft: float
    y_ft: float


def schematic(stretches: Sequence[Stretch], *, roots: Sequence[int]) -> dict[int, Place]:
    """Lay a forest out to scale: x is feet along the wire from its root, y one row per end.

    A ring does not stop the drawing: the leg that closes it joins two points placed already.

    Args:
        roots: points to start from, each drawn below the one before.
    """
    at: dict[int, list[Stretch]] = defaultdict(list)
    for stretch in stretches:
        at[stretch.start].append(stretch)
        at[stretch.end].append(stretch)
    places: dict[int, Place] = {}
    row = 0.0
    for root in roots:
        if root not in places:
            row = _place_tree(at, root, places, row)
    return places


def _place_tree(
    at: dict[int, list[Stretch]], root: int, places: dict[int, Place], row: float
) -> float:
    """Depth first without recursion: a trunk may be longer than Python's stack."""
    along = {root: 0.0}
    order = [root]
    children: dict[int, list[int]] = defaultdict(list)
    waiting = [root]
    while waiting:
        here = waiting.pop()
        for stretch in at[here]:
            there = stretch.end if stretch.start == here else stretch.start
            if there in along or there in places:
                continue
            along[there] = along[here] + stretch.length_ft
            children[here].append(there)
            order.append(there)
            waiting.append(there)
    rows: dict[int, float] = {}
    for point in _depth_first(root, children):
        if not children[point]:
            rows[point] = row
            row += 1
    for point in reversed(order):
        if point not in rows:
            below = [rows[child] for child in children[point]]
            rows[point] = (min(below) + max(below)) / 2
    for point in order:
        places[point] = Place(along[point], rows[point])
    return row + 1


def _depth_first(root: int, children: dict[int, list[int]]) -> list[int]:
    order: list[int] = []
    waiting = [root]
    while waiting:
        point = waiting.pop()
        order.append(point)
        waiting.extend(reversed(children[point]))
    return order
