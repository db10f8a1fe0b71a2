"""Charts for Plotly, drawn from plain numbers; each has its table beside it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import median
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from faults.readings.engines.control_chart import Limits
from reports.off_central.queries import ReasonLine
from sites.stopgaps.engines.spells import Reason
from sites.templatetags.register import REASON_WORDS

# Okabe and Ito's colour-blind-safe palette, with a pattern each: never colour alone.
LOOK = {
    Reason.WIRE.value: ("#0072B2", ""),
    Reason.VALVE.value: ("#E69F00", "-"),
    Reason.CONTROLLER.value: ("#009E73", "|"),
    Reason.LINK_LOST.value: ("#56B4E9", "/"),
    Reason.CLIENT.value: ("#CC79A7", "x"),
    Reason.NOT_KNOWN.value: ("#7D7F80", "+"),
}


@dataclass(frozen=True)
class BarPiece:
    """One reason's piece of a bar that is 1000 wide."""

    reason: str
    x: float
    width: float


def reasons_bar(lines: Sequence[ReasonLine]) -> list[BarPiece]:
    """Return the pieces of one bar, a hairline between each two."""
    pieces: list[BarPiece] = []
    x = 0.0
    for line in lines:
        pieces.append(BarPiece(line.reason, x, max(line.share * 1000 - 2, 1)))
        x += line.share * 1000
    return pieces


def trend_title(totals: Sequence[int]) -> str:
    """State what the last year brought; `totals` are month by month, now last."""
    now = totals[-1]
    before = totals[-13] if len(totals) > 12 else totals[0]
    if now < before:
        return _("Down to %(now)s from %(before)s a year ago") % {"now": now, "before": before}
    if now > before:
        return _("Up to %(now)s from %(before)s a year ago") % {"now": now, "before": before}
    return ngettext(
        "Unchanged: %(now)s station, as a year ago",
        "Unchanged: %(now)s stations, as a year ago",
        now,
    ) % {"now": now}


def trend_figure(months: Sequence[date], series: Mapping[str, Sequence[int]]) -> dict[str, Any]:
    """Return the stacked columns of stations off at the end of each month, by reason."""
    columns = [month.isoformat() for month in months]
    traces = [
        {
            "type": "bar",
            "name": str(REASON_WORDS[reason]),
            "x": columns,
            "y": list(values),
            # Where a click on a column leads: the rows of that day; the last day is today's page.
            "customdata": [f"?day={day}#list" for day in columns[:-1]] + ["?#first"],
            "marker": {
                "color": LOOK[reason][0],
                "pattern": {
                    "shape": LOOK[reason][1],
                    "bgcolor": LOOK[reason][0],
                    "fgcolor": "#ffffff",
                    "size": 6,
                },
            },
            "hovertemplate": f"%{{y}} {REASON_WORDS[reason]}<extra></extra>",
        }
        for reason, values in series.items()
    ]
    layout: dict[str, Any] = {
        "barmode": "stack",
        "bargap": 0.25,
        "margin": {"l": 44, "r": 8, "t": 8, "b": 40},
        "yaxis": {"title": {"text": _("stations off central")}, "rangemode": "tozero"},
        "xaxis": {"type": "date", "tickformat": "%b\n%Y", "dtick": "M3"},
        "legend": {"orientation": "h", "y": -0.22, "traceorder": "normal"},
        "hovermode": "x unified",
    }
    return {"data": traces, "layout": layout}


def month_end(first: date, today: date) -> date:
    """Return the last day of the month, or today in the month that is going on."""
    following = (first + timedelta(days=32)).replace(day=1)
    return min(following - timedelta(days=1), today)


def ohms_figure(
    days: Sequence[date],
    values: Sequence[float],
    expected_ohms: float | None,
    limits: Limits | None,
) -> dict[str, Any]:
    """Return a station's ohms over time, with what is expected and its own limits.

    What a broken wire once read would flatten all the rest: it stands at the upper edge, as a
    triangle that tells its own value.
    """
    levels = [] if limits is None else [limits.upper, limits.lower]
    levels += [] if expected_ohms is None else [expected_ohms]
    edge = 1.5 * max(levels or [median(values)])
    x = [day.isoformat() for day in days]
    traces = [
        {
            "type": "scatter",
            "x": x,
            "y": [value if value <= edge else None for value in values],
            "name": _("measured"),
            "mode": "lines+markers",
            "line": {"color": "#0072B2", "width": 1.5},
            "marker": {"size": 8},
            "hovertemplate": "%{x}: %{y:,.1f} Ω<extra></extra>",
        }
    ]
    higher = [(day, value) for day, value in zip(x, values, strict=True) if value > edge]
    if higher:
        traces.append(_beyond(higher, edge))
    if expected_ohms is not None:
        traces.append(_level(x, expected_ohms, _("expected"), "#009E73", "dash"))
    if limits is not None:
        traces.append(_level(x, limits.upper, _("upper limit"), "#D55E00", "dot"))
        traces.append(_level(x, limits.lower, _("lower limit"), "#D55E00", "dashdot"))
    layout: dict[str, Any] = {
        "margin": {"l": 52, "r": 8, "t": 8, "b": 36},
        "yaxis": {"title": {"text": _("ohms")}},
        "xaxis": {"type": "date"},
        "legend": {"orientation": "h", "y": -0.2},
    }
    return {"data": traces, "layout": layout}


def _level(x: Sequence[str], ohms: float, name: str, colour: str, dash: str) -> dict[str, Any]:
    return {
        "type": "scatter",
        "x": [x[0], x[-1]],
        "y": [ohms, ohms],
        "name": name,
        "mode": "lines",
        "line": {"color": colour, "dash": dash, "width": 1.5},
        "hovertemplate": f"{name}: {ohms:,.1f} Ω<extra></extra>",
    }


def _beyond(higher: Sequence[tuple[str, float]], edge: float) -> dict[str, Any]:
    return {
        "type": "scatter",
        "x": [day for day, _value in higher],
        "y": [edge] * len(higher),
        "customdata": [value for _day, value in higher],
        "name": _("higher than drawn"),
        "mode": "markers",
        "marker": {"color": "#0072B2", "size": 10, "symbol": "triangle-up"},
        "hovertemplate": "%{x}: %{customdata:,.1f} Ω<extra></extra>",
    }
