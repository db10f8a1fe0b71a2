"""A curve of shares that falls in steps, with its limits, as SVG: for paper."""

from collections.abc import Sequence
from itertools import pairwise

from sites.documents.charts.bars import (
    BOTTOM,
    HEIGHT,
    LEFT,
    SOFT,
    TOP,
    WIDTH,
    as_svg,
    grid_line,
)

LINE = "#0072B2"
MOST_DAYS_NAMED = 6
# What days are counted in on paper: whole numbers that a reader can halve.
STEPS_DAYS = (1, 2, 5, 10, 30, 60, 90, 180, 365, 730, 1825)

Point = tuple[float, float, float, float]


def share_steps(points: Sequence[Point], *, start: float, until: float) -> str:
    """Return the curve from `start` to `until`, in days, below 100 % at the top.

    Args:
        points: day, share, lowest, highest; shares from 0 to 1 that hold from this day on.
    """
    whole = [(start, 1.0, 1.0, 1.0), *points]
    whole.append((until, *whole[-1][1:]))

    def x(day: float) -> float:
        return LEFT + (WIDTH - LEFT - 12) * (day / until if until else 0.0)

    def corners(at: int) -> list[str]:
        found = [f"{x(whole[0][0]):.1f},{_y(whole[0][at]):.1f}"]
        for before, after in pairwise(whole):
            found += [f"{x(after[0]):.1f},{_y(each[at]):.1f}" for each in (before, after)]
        return found

    lines = [grid_line(f"{n} %", _y(n / 100), is_foot=n == 0) for n in range(0, 101, 25)]
    band = f'<polygon points="{" ".join([*corners(3), *reversed(corners(2))])}" '
    curve = f'<polyline points="{" ".join(corners(1))}" fill="none" '
    return as_svg(
        [
            f'{band}fill="{LINE}" fill-opacity="0.18"/>',
            *lines,
            f'{curve}stroke="{LINE}" stroke-width="1.8"/>',
            *(
                f'<text x="{x(day):.1f}" y="{HEIGHT - 8}" text-anchor="middle" '
                f'fill="{SOFT}">{day}</text>'
                for day in _days(until)
            ),
        ]
    )


def _y(share: float) -> float:
    return TOP + (HEIGHT - TOP - BOTTOM) * (1 - share)


def _days(until: float) -> list[int]:
    step = next((each for each in STEPS_DAYS if until / each <= MOST_DAYS_NAMED), STEPS_DAYS[-1])
    return list(range(0, int(until) + 1, step))
