"""Bands of the heat index, water, and the first days in heat."""

import pytest

from faults.work.engines.heat import (
    HeatBand,
    WaterToDrink,
    heat_band,
    is_hot_work,
    most_of_a_day,
    water_to_drink,
)


# docslib.org/doc/11368942, an older OSHA guide (found in a copy): below 91, 91 to 103, 103 to
# 115, above 115 F.
@pytest.mark.parametrize(
    ("index_f", "band"),
    [
        (90.9, HeatBand.LOWER),
        (91, HeatBand.MODERATE),
        (102.9, HeatBand.MODERATE),
        (103, HeatBand.HIGH),
        (115, HeatBand.HIGH),
        (115.1, HeatBand.VERY_HIGH),
    ],
)
def test_bands(index_f: float, band: HeatBand) -> None:
    assert heat_band(index_f) is band


def test_full_sun_adds_up_to_fifteen() -> None:
    # ehssafetynewsamerica.com (found in a copy).
    assert heat_band(88) is HeatBand.LOWER
    assert heat_band(88, in_full_sun=True) is HeatBand.HIGH


def test_water_in_an_hour() -> None:
    # MICA, July 2022, citing OSHA (found in a copy): 8 oz every 15 to 20 min, at most 48 oz.
    assert water_to_drink(1) == WaterToDrink(24, 32, 48)
    assert water_to_drink(6) == WaterToDrink(144, 192, 288)


@pytest.mark.parametrize(("day", "share"), [(1, 0.2), (2, 0.4), (4, 0.8), (5, 1.0), (9, 1.0)])
def test_a_fifth_more_each_day(day: int, share: float) -> None:
    # OSHA alert at wccchamber.com (found in a copy).
    assert most_of_a_day(day) == pytest.approx(share)


def test_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="hours > 0, got 0"):
        water_to_drink(0)
    with pytest.raises(ValueError, match="day_in_heat >= 1, got 0"):
        most_of_a_day(0)
    with pytest.raises(ValueError, match="heat index, got nan"):
        heat_band(float("nan"))


@pytest.mark.parametrize(
    ("mean_f", "is_hot"), [(None, False), (40, False), (75.9, False), (76, True), (110, True)]
)
def test_hot_work_begins_where_afternoons_reach_the_second_band(
    mean_f: float | None, is_hot: bool
) -> None:
    assert is_hot_work(mean_f) is is_hot
