"""Charts are written as plain data, and are what the chart library takes."""

from collections.abc import Callable
from datetime import date
from typing import Any

import plotly.graph_objects as go
import pytest

from faults.readings.engines.control_chart import Limits
from reports.meter.charts import months_figure, properties_figure
from reports.off_central.charts import ohms_figure, trend_figure
from sites.models import Property, Units
from sites.stopgaps.engines.spells import Reason

DAYS = [date(2026, month, 1) for month in (1, 2, 3)]
LIMITS = Limits(centre=25.0, mean_moving_range=1.0, lower=20.0, upper=30.0, count=5)
MONTHS = [(DAYS[0], 1000.0, None), (DAYS[1], 2000.0, 1500.0)]

FIGURES: dict[str, Callable[[], dict[str, Any] | None]] = {
    "trend": lambda: trend_figure(DAYS, {reason.value: [1, 2, 3] for reason in Reason}),
    "ohms": lambda: ohms_figure(DAYS, [25.0, 26.5, 9e6], 27.0, LIMITS),
    "months": lambda: months_figure(MONTHS, Property(units=Units.US)),
    "months, metric": lambda: months_figure(MONTHS, Property(units=Units.METRIC)),
    "properties": lambda: properties_figure([("A", 9000.0), ("B", 100.0)]),
}


@pytest.mark.parametrize("name", FIGURES)
def test_the_chart_library_takes_every_name_and_value(name: str) -> None:
    figure = FIGURES[name]()
    assert figure is not None
    read = go.Figure(figure).to_plotly_json()  # raises on a name or value that it does not know
    assert read["data"] == figure["data"]
    assert {k: v for k, v in read["layout"].items() if k != "template"} == figure["layout"]


def test_a_name_that_the_library_does_not_know_is_refused() -> None:
    with pytest.raises(ValueError, match="hovertemplat"):
        go.Figure({"data": [{"type": "bar", "hovertemplat": "%{y}"}]})
