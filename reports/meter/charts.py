"""Pictures of water: applied against needed by month, and excess by property."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from sites.models import Property, Units
from sites.water.engines.constants import M3_PER_GAL

# Okabe and Ito's palette; the pattern tells the two apart without colour.
APPLIED, NEEDED = "#0072B2", "#E69F00"
Months = Sequence[tuple[date, float | None, float | None]]


def months_title(months: Months) -> str:
    """State the finding: in how many of the known months more was given than needed."""
    known = [
        (applied, needed) for _month, applied, needed in months if None not in (applied, needed)
    ]
    if not known:
        return _("Not known in any month: something is missing")
    over = sum(applied > needed for applied, needed in known)  # type: ignore[operator]
    return ngettext(
        "More than needed in %(over)s of %(n)s month that is known",
        "More than needed in %(over)s of %(n)s months that are known",
        len(known),
    ) % {"over": over, "n": len(known)}


def months_figure(months: Months, place: Property) -> dict[str, Any] | None:
    """Return the columns of applied and needed water; a month that is not known is a gap.

    None where no month has either: an empty picture tells nothing that its title does not.
    """
    if all(applied is None and needed is None for _month, applied, needed in months):
        return None
    is_metric = place.units == Units.METRIC
    factor, unit = (M3_PER_GAL, "m³") if is_metric else (0.001, _("1,000 gal"))
    x = [month.isoformat() for month, _applied, _needed in months]
    traces = [
        _bars(x, [each[1] for each in months], factor, _("applied"), APPLIED, "", unit),
        _bars(x, [each[2] for each in months], factor, _("needed"), NEEDED, "/", unit),
    ]
    layout: dict[str, Any] = {
        "barmode": "group",
        "bargap": 0.2,
        "margin": {"l": 56, "r": 8, "t": 8, "b": 40},
        "yaxis": {"title": {"text": unit}, "rangemode": "tozero"},
        "xaxis": {"type": "date", "tickformat": "%b\n%Y"},
        "legend": {"orientation": "h", "y": -0.22},
        "hovermode": "x unified",
    }
    return {"data": traces, "layout": layout}


def _bars(
    x: list[str],
    gallons: Sequence[float | None],
    factor: float,
    name: str,
    colour: str,
    shape: str,
    unit: str,
) -> dict[str, Any]:
    return {
        "type": "bar",
        "name": name,
        "x": x,
        "y": [None if each is None else round(each * factor, 3) for each in gallons],
        "marker": {
            "color": colour,
            "pattern": {"shape": shape, "bgcolor": colour, "fgcolor": "#ffffff", "size": 6},
        },
        "hovertemplate": f"%{{y:,.1f}} {unit} {name}<extra></extra>",
    }


def properties_title(lines: Sequence[tuple[str, float]]) -> str:
    """State where most of it runs away."""
    total = sum(gallons for _code, gallons in lines)
    if not total:
        return _("No excess is known at any property")
    code, most = lines[0]
    return _("%(place)s wastes %(share)s %% of what is known") % {
        "place": code,
        "share": round(100 * most / total),
    }


def properties_figure(lines: Sequence[tuple[str, float]]) -> dict[str, Any]:
    """Return a bar for each property, the greatest excess on top."""
    shown = list(reversed(lines))
    bars: dict[str, Any] = {
        "type": "bar",
        "orientation": "h",
        "x": [round(gallons / 1000, 3) for _code, gallons in shown],
        "y": [code for code, _gallons in shown],
        "marker": {"color": APPLIED},
        "hovertemplate": "%{y}: %{x:,.1f}<extra></extra>",
    }
    layout: dict[str, Any] = {
        "margin": {"l": 150, "r": 8, "t": 8, "b": 40},
        "xaxis": {"title": {"text": _("1,000 gal of excess")}, "rangemode": "tozero"},
        "yaxis": {"automargin": True},
        "bargap": 0.3,
        "showlegend": False,
    }
    return {"data": [bars], "layout": layout}
