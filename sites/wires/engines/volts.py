"""Volts at each valve when several run on a shared common that branches, or closes a ring.

Drops are summed as plain numbers, not as phasors: a coil is inductive, so the volts at the
valve are a little higher than computed. That errs on the safe side.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sites.wires.engines.copper import UnableToCompute


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch of common between two points, in ohms."""

    start: int
    end: int
    ohms: float

    def __post_init__(self) -> None:
        if self.ohms < 0:
            raise UnableToCompute(f"Expected ohms >= 0, got {self.ohms}")


@dataclass(frozen=True, slots=True)
class Load:
    """A running valve: where its hot wire meets the common, the hot's ohms, its amperes."""

    point: int
    hot_ohms: float
    amperes: float

    def __post_init__(self) -> None:
        if self.hot_ohms < 0 or self.amperes < 0:
            raise UnableToCompute(
                f"Expected ohms and amperes >= 0, got {self.hot_ohms} and {self.amperes}"
            )


def volts_at_valves(
    volts_out: float, segments: Sequence[Segment], loads: Sequence[Load], *, controller: int
) -> list[float]:
    """Return the volts at each running valve, in the order of `loads`.

    A common that branches like a tree is walked exactly; one that closes a ring is solved by
    Kirchhoff's current law at each point.

    Raises:
        UnableToCompute: a valve is not connected, or drops would take more than there is.
    """
    at_points = _common_drops(segments, loads, controller)
    volts = []
    for load in loads:
        if load.point not in at_points:
            raise UnableToCompute(f"The common does not reach point {load.point}.")
        left = volts_out - at_points[load.point] - load.hot_ohms * load.amperes
        if left < 0:
            raise UnableToCompute("The wires would lose more volts than the controller gives.")
        volts.append(left)
    return volts


def _common_drops(
    segments: Sequence[Segment], loads: Sequence[Load], controller: int
) -> dict[int, float]:
    """Return the volts lost in the common between each point and the controller."""
    reached = _reached(segments, controller)
    live = [segment for segment in segments if segment.start in reached]
    if len(live) == len(reached) - 1:
        return _tree_drops(live, loads, controller)
    return _ring_drops(live, loads, controller, sorted(reached))


def _reached(segments: Sequence[Segment], controller: int) -> set[int]:
    at = _neighbours(segments)
    seen, waiting = {controller}, [controller]
    while waiting:
        for there, _ in at[waiting.pop()]:
            if there not in seen:
                seen.add(there)
                waiting.append(there)
    return seen


def _neighbours(segments: Sequence[Segment]) -> Mapping[int, list[tuple[int, float]]]:
    at: dict[int, list[tuple[int, float]]] = defaultdict(list)
    for segment in segments:
        at[segment.start].append((segment.end, segment.ohms))
        at[segment.end].append((segment.start, segment.ohms))
    return at


def _tree_drops(
    segments: Sequence[Segment], loads: Sequence[Load], controller: int
) -> dict[int, float]:
    at = _neighbours(segments)
    order, came_from = [controller], {controller: (controller, 0.0)}
    for here in order:
        for there, ohms in at[here]:
            if there not in came_from:
                came_from[there] = (here, ohms)
                order.append(there)
    amperes: dict[int, float] = defaultdict(float)
    for load in loads:
        amperes[load.point] += load.amperes
    for point in reversed(order[1:]):
        amperes[came_from[point][0]] += amperes[point]
    drops = {controller: 0.0}
    for point in order[1:]:
        before, ohms = came_from[point]
        drops[point] = drops[before] + ohms * amperes[point]
    return drops


def _ring_drops(
    segments: Sequence[Segment], loads: Sequence[Load], controller: int, points: Sequence[int]
) -> dict[int, float]:
    """Solve G v = i with the controller held at 0; segments of 0 ohms join their points."""
    joined = _join(segments, points)
    unknown = sorted({joined[point] for point in points} - {joined[controller]})
    row = {point: index for index, point in enumerate(unknown)}
    conductance = np.zeros((len(unknown), len(unknown)))
    for segment in segments:
        a, b = joined[segment.start], joined[segment.end]
        if a == b:
            continue
        siemens = 1 / segment.ohms
        for one, other in ((a, b), (b, a)):
            if one in row:
                conductance[row[one], row[one]] += siemens
                if other in row:
                    conductance[row[one], row[other]] -= siemens
    amperes = np.zeros(len(unknown))
    for load in loads:
        if joined.get(load.point) in row:
            amperes[row[joined[load.point]]] += load.amperes
    solved = np.linalg.solve(conductance, amperes) if unknown else amperes
    return {
        point: float(solved[row[joined[point]]]) if joined[point] in row else 0.0
        for point in points
    }


def _join(segments: Sequence[Segment], points: Sequence[int]) -> dict[int, int]:
    joined = {point: point for point in points}

    def root(point: int) -> int:
        while joined[point] != point:
            point = joined[point]
        return point

    for segment in segments:
        if segment.ohms == 0:
            joined[root(segment.start)] = root(segment.end)
    return {point: root(point) for point in points}
