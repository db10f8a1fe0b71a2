"""Where a tone is fed for a walk, and what it takes until the walk begins."""

from collections.abc import Callable


def cheapest_feed(
    *,
    here: int,
    start: int,
    end: int,
    valve: int,
    fed: int | None,
    setup_min: float,
    walk_min: Callable[[int, int], float],
    reach_min: Callable[[int], float],
) -> tuple[int, float]:
    """Return the point at which the tone is fed, and the minutes until the walk begins.

    A tone reaches a stretch from either end of the wire, and from where it is fed already, unless
    that lies within the stretch. Feeding it at a box means laying the wire bare there.

    Args:
        here: where the technician stands; points are 0..valve.
        fed: where the tone is fed already, on the same conductor.
        walk_min: minutes from point to point without testing.
        reach_min: minutes to lay the wire bare at a point.
    """

    def via(point: int) -> float:
        return walk_min(here, point) + walk_min(point, start) + setup_min

    ways = [(0, via(0)), (valve, via(valve))]
    if 0 < start < valve:
        ways.append((start, via(start) + reach_min(start)))
    if fed is not None and not min(start, end) < fed < max(start, end):
        ways.insert(0, (fed, walk_min(here, start)))
    return min(ways, key=lambda way: way[1])
