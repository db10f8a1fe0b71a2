"""What more hours would bring, as a picture."""

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _

BLUE, GREY = "#0072B2", "#7D7F80"


def curve_figure(rows: Sequence[Sequence[float]], *, hours: float, unit: str) -> dict[str, Any]:
    """Return worth against crew hours; the hours that were asked for are marked.

    Args:
        rows: hours, worth, and how many stations.
        unit: of the worth.
    """
    x, y, n = [row[0] for row in rows], [row[1] for row in rows], [int(row[2]) for row in rows]
    trace = {
        "type": "scatter",
        "mode": "lines+markers",
        "x": [0.0, *x],
        "y": [0.0, *y],
        "text": ["0", *map(str, n)],
        "line": {"color": BLUE},
        "marker": {"size": 8, "symbol": "circle"},
        "hovertemplate": _("%{x} h: %{y:,.0f}, %{text} stations") + "<extra></extra>",
    }
    layout = {
        "margin": {"l": 64, "r": 12, "t": 8, "b": 44},
        "xaxis": {"title": {"text": _("crew hours")}, "rangemode": "tozero"},
        "yaxis": {"title": {"text": unit}, "rangemode": "tozero"},
        "shapes": [
            {
                "type": "line",
                "x0": hours,
                "x1": hours,
                "y0": 0,
                "y1": 1,
                "yref": "paper",
                "line": {"color": GREY, "dash": "dash", "width": 1},
            }
        ],
    }
    return {"data": [trace], "layout": layout}
