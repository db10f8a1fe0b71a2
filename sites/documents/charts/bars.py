"""Bars as SVG, from plain numbers: for paper, where no script draws."""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

WIDTH, HEIGHT = 720.0, 250.0
LEFT, BOTTOM, TOP = 46.0, 26.0, 8.0
FONT = "Libertinus Serif, Georgia, serif"
INK, SOFT, HAIR = "#1c2326", "#56605f", "#b9bfba"
MOST_LABELS = 13
STEPS = (1, 2, 5)
LEGEND_LINE = 18.0


@dataclass(frozen=True)
class Series:
    """One kind of bar: its name, its colour, a pattern ("" or a path in 8 by 8), its values."""

    name: str
    colour: str
    pattern: str
    values: Sequence[float | None]


def stacked(labels: Sequence[str], series: Sequence[Series]) -> str:
    """Return bars on top of each other, one for each label. None is a gap."""
    tops = [
        sum(one.values[at] or 0.0 for one in series if one.values[at] is not None)
        for at in range(len(labels))
    ]
    scale = _Scale.up_to(max(tops, default=0.0))
    step = (WIDTH - LEFT) / max(len(labels), 1)
    shapes = []
    for at in range(len(labels)):
        below = 0.0
        for number, one in enumerate(series):
            value = one.values[at]
            if value:
                top, foot = scale.y(below + value), scale.y(below)
                x = LEFT + at * step + step * 0.15
                shapes += _bar(one, number, x, top, step * 0.7, foot - top)
                below += value
    return _drawn(labels, series, scale, step, shapes)


def side_by_side(labels: Sequence[str], series: Sequence[Series]) -> str:
    """Return bars beside each other, a group for each label. None is a gap."""
    values = [each for one in series for each in one.values if each is not None]
    scale = _Scale.up_to(max(values, default=0.0))
    step = (WIDTH - LEFT) / max(len(labels), 1)
    wide = step * 0.8 / max(len(series), 1)
    shapes = []
    for at in range(len(labels)):
        for number, one in enumerate(series):
            value = one.values[at]
            if value:
                top = scale.y(value)
                x = LEFT + at * step + step * 0.1 + number * wide
                shapes += _bar(one, number, x, top, wide * 0.92, scale.y(0) - top)
    return _drawn(labels, series, scale, step, shapes)


@dataclass(frozen=True)
class _Scale:
    most: float
    step: float

    @classmethod
    def up_to(cls, value: float) -> "_Scale":
        """Round up to some four steps of 1, 2 or 5 times a power of ten."""
        value = max(value, 4.0)
        power = 10.0 ** len(str(int(value / 4))) / 10
        step = next(
            power * one * times
            for times in (1, 10, 100)
            for one in STEPS
            if power * one * times * 4 >= value
        )
        return cls(step * -(-value // step), step)

    def y(self, value: float) -> float:
        return TOP + (HEIGHT - TOP - BOTTOM) * (1 - value / self.most)


def _bar(one: Series, number: int, x: float, y: float, width: float, height: float) -> list[str]:
    """The colour, and the pattern over it: tiles with a ground of their own would show seams."""
    box = f'x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}"'
    ground = f'<rect {box} fill="{one.colour}"/>'
    return [ground, f'<rect {box} fill="url(#fill-{number})"/>'] if one.pattern else [ground]


def _drawn(
    labels: Sequence[str],
    series: Sequence[Series],
    scale: _Scale,
    step: float,
    shapes: Sequence[str],
) -> str:
    lines = [grid_line(f"{n * scale.step:,.0f}", scale.y(n * scale.step), is_foot=n == 0)
             for n in range(round(scale.most / scale.step) + 1)]  # fmt: skip
    every = -(-len(labels) // MOST_LABELS)
    words = [
        f'<text x="{LEFT + (at + 0.5) * step:.1f}" y="{HEIGHT - 8}" text-anchor="middle">'
        f"{escape(label)}</text>"
        for at, label in enumerate(labels)
        if at % every == 0
    ]
    legend, lowest = _legend(series)
    fills = "".join(_fill(number, one) for number, one in enumerate(series))
    return as_svg([f"<defs>{fills}</defs>", *lines, *shapes, *words, legend], lowest)


def as_svg(parts: Sequence[str], lowest: float = HEIGHT) -> str:
    """Return shapes as one picture, down to `lowest`."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:.0f} {lowest:.0f}" '
        f'font-family="{FONT}" font-size="12" fill="{INK}">{"".join(parts)}</svg>'
    )


def grid_line(words: str, y: float, *, is_foot: bool) -> str:
    """Return a line from left to right and, before it, what it stands for."""
    return (
        f'<line x1="{LEFT}" x2="{WIDTH}" y1="{y:.1f}" y2="{y:.1f}" stroke="{HAIR}" '
        f'stroke-width="{1.2 if is_foot else 0.6}"/>'
        f'<text x="{LEFT - 6}" y="{y + 4:.1f}" text-anchor="end" fill="{SOFT}">{words}</text>'
    )


def _fill(number: int, one: Series) -> str:
    if not one.pattern:
        return ""
    return (
        f'<pattern id="fill-{number}" width="8" height="8" patternUnits="userSpaceOnUse">'
        f'<path d="{one.pattern}" stroke="#ffffff" stroke-width="1.4" fill="none"/></pattern>'
    )


def _legend(series: Sequence[Series]) -> tuple[str, float]:
    """Return the names of the series below the bars, as many in a line as fit."""
    x, y, drawn = LEFT, HEIGHT + 6, []
    for number, one in enumerate(series):
        wide = 34 + 6.4 * len(one.name)
        if x + wide > WIDTH and x > LEFT:
            x, y = LEFT, y + LEGEND_LINE
        drawn += _bar(one, number, x, y, 12, 12)
        drawn.append(f'<text x="{x + 17:.1f}" y="{y + 10.5:.1f}">{escape(one.name)}</text>')
        x += wide
    return "".join(drawn), y + LEGEND_LINE
