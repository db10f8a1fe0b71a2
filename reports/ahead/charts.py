"""The coming months as bands."""

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _

BLUE = "#0072B2"


def fan_figure(months: Sequence[Sequence[Any]]) -> dict[str, Any]:
    """Return stations off at each month's end: the middle, and bands of 50 and 90 %.

    Args:
        months: day, then the 5, 25, 50, 75 and 95 % points.
    """
    days = [month[0] for month in months]
    edge: dict[str, Any] = {
        "type": "scatter",
        "mode": "lines",
        "x": days,
        "line": {"width": 0},
        "hoverinfo": "skip",
    }
    traces: list[dict[str, Any]] = []
    for low, high, shade, name in ((1, 5, 0.15, _("90 % band")), (2, 4, 0.3, _("50 % band"))):
        traces.append(edge | {"y": [month[low] for month in months], "showlegend": False})
        filled = {"fill": "tonexty", "fillcolor": f"rgba(0,114,178,{shade})", "name": name}
        traces.append(edge | {"y": [month[high] for month in months]} | filled)
    traces.append(
        {
            "type": "scatter",
            "mode": "lines",
            "x": days,
            "y": [month[3] for month in months],
            "customdata": [[round(month[1]), round(month[5])] for month in months],
            "name": _("middle"),
            "line": {"color": BLUE, "width": 2},
            "hovertemplate": "%{y:.0f} (%{customdata[0]}–%{customdata[1]})<extra></extra>",
        }
    )
    layout = {
        "margin": {"l": 44, "r": 8, "t": 8, "b": 36},
        "yaxis": {"title": {"text": _("stations off central")}, "rangemode": "tozero"},
        "xaxis": {"type": "date", "tickformat": "%b\n%Y"},
        "legend": {"orientation": "h", "y": -0.25},
        "hovermode": "x unified",
    }
    return {"data": traces, "layout": layout}
