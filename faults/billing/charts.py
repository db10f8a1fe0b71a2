"""What was quoted, spent and billed, drawn: one picture for each currency, its table below."""

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _

from faults.billing.engines.earning import Row

# Okabe and Ito's palette, with a pattern each: never colour alone.
LOOKS = (("quoted", "#56B4E9", ""), ("spent", "#E69F00", "/"), ("billed", "#009E73", "x"))
MOST_GROUPS = 15


def earned_figure(rows: Sequence[Row], currency: str) -> dict[str, Any]:
    """Return three bars for each group of one currency, those with the most money first."""
    mine = [row for row in rows if row.currency == currency]
    largest = sorted(mine, key=lambda row: (-max(row.spent, row.quoted or 0), row.group))
    shown = largest[:MOST_GROUPS]
    words = {"quoted": _("quoted"), "spent": _("spent"), "billed": _("billed")}
    traces = [
        {
            "type": "bar",
            "name": words[name],
            "x": [row.group for row in shown],
            "y": [_number(getattr(row, name)) for row in shown],
            "marker": {
                "color": colour,
                "pattern": {"shape": shape, "bgcolor": colour, "fgcolor": "#ffffff", "size": 6},
            },
            "hovertemplate": f"%{{y:,.2f}} {currency} {words[name]}<extra></extra>",
        }
        for name, colour, shape in LOOKS
    ]
    layout: dict[str, Any] = {
        "barmode": "group",
        "bargap": 0.2,
        "margin": {"l": 56, "r": 8, "t": 8, "b": 80},
        "yaxis": {"title": {"text": currency or _("currency not known")}, "rangemode": "tozero"},
        "xaxis": {"automargin": True},
        "legend": {"orientation": "h", "y": 1.12},
        "hovermode": "x unified",
    }
    return {"data": traces, "layout": layout}


def _number(value: Any) -> float | None:
    """Nothing agreed to is a gap, and not 0."""
    return None if value is None else float(value)
