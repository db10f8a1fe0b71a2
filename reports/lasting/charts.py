"""Curves of lasting for Plotly; each has its table beside it."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext as _

from reports.lasting.services.words import ending_words, group_words

# Okabe and Ito's colour-blind-safe palette, with a dash each: never colour alone.
_LOOK = [
    ("#0072B2", "solid"), ("#E69F00", "dash"), ("#009E73", "dot"), ("#CC79A7", "dashdot"),
    ("#56B4E9", "longdash"), ("#D55E00", "longdashdot"),
]  # fmt: skip
_PATTERNS = ["", "/", "x", "-", "|", "+", ".", "\\"]
_LAYOUT: dict[str, Any] = {
    "margin": {"l": 52, "r": 8, "t": 8, "b": 36},
    "legend": {"orientation": "h", "y": -0.2},
    "hovermode": "x unified",
}


def _axes() -> dict[str, Any]:
    return {
        **_LAYOUT,
        "xaxis": {"ticksuffix": _(" d"), "rangemode": "tozero"},
        "yaxis": {"title": {"text": _("still off")}, "range": [0, 1], "tickformat": ".0%"},
    }


def _line(points: Sequence[Sequence[float]], y: int, start: float, until: float) -> dict[str, Any]:
    """Return a step line that starts at 1 and goes on to the last day that was seen."""
    last = points[-1][y] if points else 1.0
    return {
        "type": "scatter",
        "mode": "lines",
        "x": [start, *(point[0] for point in points), until],
        "y": [1.0, *(point[y] for point in points), last],
        "line": {"shape": "hv"},
    }


def all_figure(kept: Mapping[str, Any], band: Sequence[Sequence[float]]) -> dict[str, Any]:
    """Return the curve of all times with its 95 % limits, and what unknown starts could change."""
    start, until, steps = kept["from_day"], kept["until"], kept["steps"]
    colour = _LOOK[0][0]
    none = {"shape": "hv", "width": 0}
    low = _line(steps, 3, start, until) | {"line": none, "showlegend": False, "hoverinfo": "skip"}
    high = _line(steps, 4, start, until) | {
        "line": none,
        "fill": "tonexty",
        "fillcolor": "rgba(0,114,178,0.18)",
        "name": _("95 % limits"),
        "hoverinfo": "skip",
    }
    traces = [low, high]
    for number, name in ((1, _("if all began as late as can be")), (2, _("as early as can be"))):
        if any(each[1] < each[2] for each in band):
            line = {"shape": "hv", "width": 1, "dash": "dot", "color": _LOOK[5][0]}
            shown = {"line": line, "name": name, "hoverinfo": "skip", "showlegend": number == 1}
            traces.append(_line(band, number, start, until) | shown)
    if len(traces) > 2:
        traces[2]["name"] = _("starts known as a window: earliest, latest")
    main = {"shape": "hv", "width": 2, "color": colour}
    shown = {"line": main, "name": _("still off"), "hovertemplate": "%{y:.0%}"}
    traces.append(_line(steps, 2, start, until) | shown)
    return {"data": traces, "layout": _axes()}


def endings_figure(kept: Mapping[str, Any]) -> dict[str, Any]:
    """Return how times ended, one above the other: with what still lasts they make up all."""
    days = [kept["from_day"], *(step[0] for step in kept["steps"])]
    names = sorted(kept["endings"], key=lambda name: -kept["endings"][name][-1][1])
    traces = []
    for number, name in enumerate(names):
        line = kept["endings"][name]
        colour = _LOOK[number % len(_LOOK)][0]
        traces.append(
            {
                "type": "scatter",
                "mode": "lines",
                "stackgroup": "ended",
                "name": ending_words(name),
                "x": days,
                "y": [_at(line, day) for day in days],
                "line": {"shape": "hv", "width": 1, "color": colour},
                "fillpattern": {"shape": _PATTERNS[number % len(_PATTERNS)], "size": 6},
                "hovertemplate": "%{y:.0%}",
            }
        )
    layout = _axes()
    layout["yaxis"]["title"] = {"text": _("ended so")}
    return {"data": traces, "layout": layout}


def _at(line: Sequence[Sequence[float]], day: float) -> float:
    return next((share for at, share in reversed(line) if at <= day), 0.0)


def groups_figure(dimension: str, groups: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """Return the curves of the largest groups."""
    traces = []
    for (colour, dash), kept in zip(_LOOK, groups, strict=False):
        line = {"shape": "hv", "color": colour, "dash": dash, "width": 2}
        shown = {
            "line": line,
            "name": group_words(dimension, kept["name"]),
            "hovertemplate": "%{y:.0%}",
        }
        traces.append(_line(kept["steps"], 2, kept["from_day"], kept["until"]) | shown)
    return {"data": traces, "layout": _axes()}
