"""Names beside what they name, never on top of each other."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

# A wide guess for the 11-unit letters of the drawings: too much room harms nobody.
LETTER = 6.7
LINE = 13.0
GAP = 8.0
LONGEST_SLANTED = 22
# Lines slanted by 45 degrees stand apart by this much along the drawing.
SLANT_STEP = LINE * 2**0.5
SLANT = 2**-0.5


@dataclass(frozen=True)
class Label:
    """A name and where it begins, or sits; None where there is no room for it."""

    text: str
    x: float | None


@dataclass(frozen=True)
class Labels:
    """The names of a row of places: level where they fit beside each other, slanted else."""

    is_slanted: bool
    labels: list[Label]
    height: float


def width_of(text: str) -> float:
    """Return how wide a text is drawn at most."""
    return len(text) * LETTER


def shortened(text: str, most: int) -> str:
    """Return the text, cut where it is longer than `most` letters."""
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"


def lay_out(
    named: Sequence[tuple[float, str]], *, left: float, right: float, last_slanted: float
) -> Labels:
    """Return where the names of places stand, given left to right.

    Args:
        named: (where the place is, its name), in order.
        left, right: the ends of the drawing between which a level name must lie.
        last_slanted: the furthest place at which a slanted name may begin.
    """
    level = [
        Label(name, min(max(x, left + width_of(name) / 2), right - width_of(name) / 2))
        for x, name in named
    ]
    if not _overlap(level):
        return Labels(False, level, LINE)
    texts = [shortened(name, LONGEST_SLANTED) for _, name in named]
    places = spread([x for x, _ in named], step=SLANT_STEP, left=left, right=last_slanted)
    longest = max(width_of(text) for text in texts)
    slanted = [Label(text, x) for text, x in zip(texts, places, strict=True)]
    return Labels(True, slanted, longest * SLANT + LINE)


def _overlap(labels: Sequence[Label]) -> bool:
    edges = [(label.x or 0.0, width_of(label.text) / 2) for label in labels]
    return any(
        x + half + GAP > next_x - next_half for (x, half), (next_x, next_half) in pairwise(edges)
    )


def spread(xs: Sequence[float], *, step: float, left: float, right: float) -> list[float | None]:
    """Return places at least `step` apart, in the same order and as near as can be.

    Where there is no room for all, evenly chosen ones go without: None.
    """
    most = int((right - left) / step) + 1
    if len(xs) <= most:
        return list(_spread_all(xs, step, left, right))
    kept = sorted({round(i * (len(xs) - 1) / (most - 1)) for i in range(most)})
    places = dict(zip(kept, _spread_all([xs[i] for i in kept], step, left, right), strict=True))
    return [places.get(i) for i in range(len(xs))]


def _spread_all(xs: Sequence[float], step: float, left: float, right: float) -> list[float]:
    """Pool neighbours that come too close and centre each pool on its members' places."""
    pools: list[tuple[float, int]] = []
    for i, x in enumerate(xs):
        total, count = x - i * step, 1
        while pools and pools[-1][0] / pools[-1][1] >= total / count:
            before, members = pools.pop()
            total, count = total + before, count + members
        pools.append((total, count))
    flat = [total / count for total, count in pools for _ in range(count)]
    furthest = right - (len(xs) - 1) * step
    return [min(max(x, left), furthest) + i * step for i, x in enumerate(flat)]
