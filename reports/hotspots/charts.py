"""Charts of hotspots for Plotly, from plain numbers; each has its title and its table beside it.

They are written as Plotly's JSON itself: a page holds five of them, and checking each value
through its classes would take half of the page's time.
"""

from collections.abc import Sequence
from typing import Any
from urllib.parse import quote

from django.urls import reverse
from django.utils.translation import gettext as _

from reports.hotspots.engines.recurrence import CurvePoint
from reports.hotspots.services.pictures import CoverRate, Curves, Funnel, Share
from reports.hotspots.services.whole_legs import Event
from reports.hotspots.services.words import number

# Okabe and Ito's palette; each colour comes with a shape or a dash of its own.
BLUE, ORANGE, GREEN, VERMILION, GREY = "#0072B2", "#E69F00", "#009E73", "#D55E00", "#7D7F80"


Trace = dict[str, object]


def _plain(traces: Sequence[Trace], **layout: Any) -> dict[str, object]:
    shared = {
        "margin": {"l": 56, "r": 12, "t": 8, "b": 44},
        "legend": {"orientation": "h", "y": 1.02, "yanchor": "bottom"},
    }
    return {"data": list(traces), "layout": {**shared, **layout}}


def _scatter(**values: Any) -> Trace:
    return {"type": "scatter", **values}


def _bar(**values: Any) -> Trace:
    return {"type": "bar", **values}


def _line(x: Sequence[float], y: Sequence[float], name: str, colour: str, dash: str) -> Trace:
    return _scatter(
        x=list(x),
        y=list(y),
        name=name,
        mode="lines",
        line={"color": colour, "dash": dash, "width": 1.3},
        hoverinfo="skip",
    )


def funnel_figure(funnel: Funnel) -> dict[str, object]:
    """Return legs by what was to be expected, and how far chance alone may take them."""
    traces = [
        _line(funnel.expected, funnel.high, _("chance passes it 1 time in 40"), GREY, "dash"),
        _line(funnel.expected, funnel.far_high, _("1 time in 1,000"), GREY, "dot"),
    ]
    for is_flagged, name, colour, symbol in (
        (False, _("not flagged"), BLUE, "circle-open"),
        (True, _("flagged"), VERMILION, "diamond"),
    ):
        dots = [dot for dot in funnel.dots if dot.is_flagged is is_flagged]
        traces.append(
            _scatter(
                x=[dot.expected for dot in dots],
                y=[dot.ratio for dot in dots],
                text=[dot.name for dot in dots],
                customdata=[dot.leads for dot in dots],
                name=name,
                mode="markers",
                marker={"color": colour, "symbol": symbol, "size": 11 if is_flagged else 6},
                hovertemplate="%{text}: %{y:.1f} ×, %{x:.2f}<extra></extra>",
            )
        )
    return _plain(
        traces,
        xaxis={"title": {"text": _("faults to be expected")}, "type": "log", **_steps_of_a_log()},
        yaxis={"title": {"text": _("found ÷ expected")}, "rangemode": "tozero"},
    )


def _steps_of_a_log() -> dict[str, object]:
    """Every step in full: by itself the chart writes 0.05 as 5."""
    steps = [digit * 10.0**power for power in range(-4, 4) for digit in (1, 2, 5)]
    return {"tickvals": steps, "ticktext": [f"{step:g}" for step in steps]}


def curves_figure(curves: Curves, these: str, rest: str) -> dict[str, object]:
    """Return the mean faults of a leg by years observed, with their bands."""
    traces: list[Trace] = []
    for points, name, colour, dash in (
        (curves.rest, rest, BLUE, "solid"),
        (curves.these, these, VERMILION, "dash"),
    ):
        if points:
            traces += _curve(points, name, colour, dash)
    return _plain(
        traces,
        xaxis={"title": {"text": _("years observed")}, "rangemode": "tozero"},
        yaxis={"title": {"text": _("faults of a leg, mean")}, "rangemode": "tozero"},
    )


def _curve(points: Sequence[CurvePoint], name: str, colour: str, dash: str) -> list[Trace]:
    x = [0.0, *(point.age for point in points)]
    low = [0.0, *(max(point.interval.low, 0.0) for point in points)]
    high = [0.0, *(point.interval.high for point in points)]
    shape = {"shape": "hv", "width": 0}
    red, green, blue = (int(colour[n : n + 2], 16) for n in (1, 3, 5))
    return [
        _scatter(x=x, y=low, line=shape, mode="lines", showlegend=False, hoverinfo="skip"),
        _scatter(
            x=x,
            y=high,
            line=shape,
            mode="lines",
            fill="tonexty",
            fillcolor=f"rgba({red},{green},{blue},0.15)",
            showlegend=False,
            hoverinfo="skip",
        ),
        _scatter(
            x=x,
            y=[0.0, *(point.mean for point in points)],
            name=name,
            mode="lines",
            line={"shape": "hv", "color": colour, "dash": dash, "width": 2},
            hovertemplate="%{x:.1f}: %{y:.2f}<extra></extra>",
        ),
    ]


def causes_figure(shares: Sequence[Share]) -> dict[str, object]:
    """Return causes as bars with the intervals that hold for all at once."""
    turned = list(reversed(shares))
    of_cause = reverse("reports:hotspot_cause")
    return _plain(
        [
            _bar(
                orientation="h",
                y=[share.word for share in turned],
                x=[100 * share.share for share in turned],
                customdata=[f"{of_cause}?cause={quote(share.cause)}" for share in turned],
                marker={"color": [GREY if s.cause == "not known" else BLUE for s in turned]},
                error_x={
                    "type": "data",
                    "symmetric": False,
                    "array": [100 * (s.limits.high - s.share) for s in turned],
                    "arrayminus": [100 * (s.share - s.limits.low) for s in turned],
                    "color": ORANGE,
                    "thickness": 2,
                },
                hovertemplate="%{y}: %{x:.0f} %<extra></extra>",
            )
        ],
        xaxis={"title": {"text": _("percent of located faults")}, "rangemode": "tozero"},
        yaxis={"automargin": True},
    )


def months_figure(months: Sequence[tuple[str, int]]) -> dict[str, object]:
    """Return faults by month of the year."""
    return _plain(
        [
            _bar(
                x=[month for month, _count in months],
                y=[count for _month, count in months],
                marker={"color": BLUE},
                hovertemplate="%{x}: %{y}<extra></extra>",
            )
        ],
        yaxis={"title": {"text": _("faults")}, "rangemode": "tozero"},
    )


def covers_figure(covers: Sequence[CoverRate]) -> dict[str, object]:
    """Return the rate under each cover with its exact interval."""
    turned = list(reversed(covers))
    return _plain(
        [
            _scatter(
                y=[cover.word for cover in turned],
                x=[cover.rate for cover in turned],
                mode="markers",
                marker={"color": BLUE, "symbol": "square", "size": 9},
                error_x={
                    "type": "data",
                    "symmetric": False,
                    "array": [cover.limits.high - cover.rate for cover in turned],
                    "arrayminus": [cover.rate - cover.limits.low for cover in turned],
                    "color": BLUE,
                },
                hovertemplate="%{y}: %{x:.2f}<extra></extra>",
            )
        ],
        xaxis={"title": {"text": _("faults per 1,000 ft and year")}, "rangemode": "tozero"},
        yaxis={"automargin": True},
    )


def places_figure(events: Sequence[Event], length: float, unit: str) -> dict[str, object]:
    """Return where along a leg its faults lie, by the day on which they were reported."""
    known = [event for event in events if event.along_ft is not None]
    scale = 0.3048 if unit == "m" else 1.0
    return _plain(
        [
            _scatter(
                x=[(event.along_ft or 0.0) * scale for event in known],
                y=[event.on.isoformat() for event in known],
                text=[event.cause_word for event in known],
                mode="markers",
                marker={"color": VERMILION, "symbol": "x", "size": 11},
                hovertemplate="%{x:.0f} " + unit + ", %{y}: %{text}<extra></extra>",
            )
        ],
        xaxis={
            "title": {"text": _("%s from the first end") % unit},
            "range": [0, max(length * scale, 1.0)],
        },
        yaxis={"type": "date", "automargin": True},
    )


def rates_title(covers: Sequence[CoverRate]) -> str:
    """State under which cover faults are most frequent, where that stands out."""
    if not covers or not covers[0].count:
        return _("No cover stands out")
    first = covers[0]
    if any(first.limits.overlaps(other.limits) for other in covers[1:] if other.count):
        return _("By cover: no rate stands out from all others")
    return _("Most faults for its length under %(cover)s: %(rate)s per 1,000 ft and year") % {
        "cover": first.word,
        "rate": number(first.rate),
    }


def months_title(months: Sequence[tuple[str, int]]) -> str:
    """State the month with most faults."""
    most = max(count for _month, count in months)
    if not most:
        return _("No fault in any month")
    names = [month for month, count in months if count == most]
    return _("Most faults were reported in %(month)s: %(n)s") % {
        "month": ", ".join(names),
        "n": most,
    }


def causes_title(shares: Sequence[Share], leading: str) -> str:
    """State the leading cause, or that none leads."""
    if leading:
        return _("The leading cause: %s") % leading
    if not shares:
        return _("No cause is known yet")
    return _("No cause leads for certain: the intervals overlap")
