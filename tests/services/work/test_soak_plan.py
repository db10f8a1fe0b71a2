"""The plan of a soak in a reader's words: the worked example, pauses, days and units."""

from datetime import date, timedelta
from typing import Any

import pytest

from faults.work.engines.soak import SoakRequest, Texture
from faults.work.services.soak_plan import SoakPlan, soak_plan
from sites.models import Property

TODAY = date(2026, 3, 2)


def plan(**given: Any) -> SoakPlan:
    """Loam, 12 in, half missing, 75 %, 1.5 in/h, 20 x 6 ft: the worked example."""
    usual = {
        "texture": Texture.LOAM,
        "depth_in": 12.0,
        "share_missing": 0.5,
        "efficiency": 0.75,
        "rate_in_per_h": 1.5,
        "area_sqft": 120.0,
    }
    place = Property(units=given.pop("units", "US"))
    dig_on = given.pop("dig_on", TODAY + timedelta(days=5))
    request = SoakRequest(**{**usual, **given})
    return soak_plan(request, dig_on=dig_on, today=TODAY, place=place)


def test_the_worked_example() -> None:
    found = plan()
    assert (found.minutes, found.water, found.gross, found.net) == (
        55,
        "101 gal",
        "1.35 in",
        "1.01 in",
    )
    assert found.soak.run_min == pytest.approx(54.0, rel=0.01)
    assert found.soak.least_h == pytest.approx(3.32, rel=0.01)
    assert (found.first_on, found.last_on) == (date(2026, 3, 6), date(2026, 3, 6))
    assert not found.is_too_late


def test_a_soil_that_takes_less_than_the_sprinklers_give_gets_pauses() -> None:
    found = plan()
    total_h = found.rounds * (found.run_each_min + found.pause_min) / 60
    assert (found.rounds, found.run_each_min) == (4, 14)
    assert total_h == pytest.approx(found.soak.least_h, rel=0.1)
    assert plan(texture=Texture.SAND).pause_min == 0


def test_clay_needs_more_than_a_day_and_two_days_of_waiting() -> None:
    found = plan(texture=Texture.CLAY, depth_in=18.0, share_missing=1.0)
    assert found.soak.needs_more_than_a_day
    assert (found.first_on, found.last_on) == (date(2026, 3, 3), date(2026, 3, 5))
    late = plan(
        texture=Texture.CLAY, depth_in=18.0, share_missing=1.0, dig_on=TODAY + timedelta(days=3)
    )
    assert late.is_too_late
    assert late.ready_on == TODAY + timedelta(days=late.soak.days_of_soaking - 1 + 2)


def test_metric_properties_read_litres_and_millimetres() -> None:
    found = plan(units="metric")
    assert (found.water, found.gross) == ("382 L", "34 mm")


def test_moist_ground_needs_no_run() -> None:
    assert plan(share_missing=0.0).minutes == 0
