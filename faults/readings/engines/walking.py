"""In which order to walk from place to place: nearest first, then untangled (2-opt)."""

from collections.abc import Sequence
from math import cos, hypot, radians

FT_PER_DEGREE = 364_567.2  # 111,120 m: one minute of a great circle is a sea mile

Spot = tuple[float, float]


def feet_of(positions: Sequence[Spot | None]) -> list[Spot | None]:
    """Return latitudes and longitudes as feet east and north of the first of them.

    Good to some inches over a property.
    """
    known = [each for each in positions if each is not None]
    if not known:
        return [None] * len(positions)
    (lat, lon), narrow = known[0], cos(radians(known[0][0]))
    return [
        each and ((each[1] - lon) * FT_PER_DEGREE * narrow, (each[0] - lat) * FT_PER_DEGREE)
        for each in positions
    ]


def walking_order(spots: Sequence[Spot | None], start: Spot | None = None) -> list[int]:
    """Return the indices in the order of a short walk that begins at `start` and need not return.

    What has no place comes last, in the order given.
    """
    left = [n for n, spot in enumerate(spots) if spot is not None]
    nowhere = [n for n, spot in enumerate(spots) if spot is None]
    way: list[int] = []
    here = start
    while left:
        near = left[0] if here is None else min(left, key=lambda n: (_feet(here, spots[n]), n))
        left.remove(near)
        way.append(near)
        here = spots[near]
    return [*_untangled(way, spots, start), *nowhere]


def _untangled(way: list[int], spots: Sequence[Spot | None], start: Spot | None) -> list[int]:
    """Turn a stretch round wherever that shortens the walk, until none does."""
    is_better = True
    while is_better:
        is_better = False
        for i in range(len(way) - 1):
            for j in range(i + 1, len(way)):
                before = start if i == 0 else spots[way[i - 1]]
                after = spots[way[j + 1]] if j + 1 < len(way) else None
                now = _feet(before, spots[way[i]]) + _feet(spots[way[j]], after)
                turned = _feet(before, spots[way[j]]) + _feet(spots[way[i]], after)
                if turned < now - 1e-6:
                    way[i : j + 1] = reversed(way[i : j + 1])
                    is_better = True
    return way


def _feet(one: Spot | None, other: Spot | None) -> float:
    return 0.0 if one is None or other is None else hypot(one[0] - other[0], one[1] - other[1])
