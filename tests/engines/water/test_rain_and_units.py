"""Constants of water and conventions of rain agree with what is printed."""

from fractions import Fraction

import pytest

from sites.water.engines import constants, rain


def test_the_gallon_is_231_cubic_inches() -> None:
    """NIST Handbook 44, appendix C (found in a copy); the rest with exact fractions."""
    assert pytest.approx(float(Fraction(144, 231)), rel=1e-15) == constants.GAL_PER_IN_SQFT
    assert pytest.approx(0.623376623, abs=1e-9) == constants.GAL_PER_IN_SQFT
    assert constants.IN_PER_H_SQFT_PER_GPM == 96.25
    # The rounded forms in print (0.62, 0.623, 96.3) are within half a percent.
    for rounded in (0.62, 0.623, 0.6233):
        assert pytest.approx(rounded, rel=6e-3) == constants.GAL_PER_IN_SQFT
    assert pytest.approx(96.3, rel=6e-4) == constants.IN_PER_H_SQFT_PER_GPM


def test_price_units_are_exact() -> None:
    """Utilities print 748 gallons (pwd.org, ncsd.ca.gov, found): 0.007 % off."""
    assert constants.GAL_PER_UNIT["kgal"] == 1000
    assert constants.GAL_PER_UNIT["HCF"] == pytest.approx(748.0519480519, abs=1e-9)
    assert constants.GAL_PER_UNIT["HCF"] == pytest.approx(748, rel=1e-4)
    assert constants.GAL_PER_UNIT["m3"] == pytest.approx(264.1720523581, abs=1e-9)
    assert constants.GAL_PER_UNIT["kgal"] * constants.M3_PER_GAL == pytest.approx(3.785411784)
    hcf_m3 = constants.GAL_PER_UNIT["HCF"] * constants.M3_PER_GAL
    assert hcf_m3 == pytest.approx(2.8316846592, abs=1e-9)


def test_flow_from_precipitation_rate_and_area() -> None:
    """10 gpm on 500 sq ft: 1.93 in/h in print with 96.3 (bit1024.com, found); exactly 1.925."""
    assert constants.flow_gpm(1.925, 500) == pytest.approx(10)
    assert constants.flow_gpm(0.721875, 2400) == pytest.approx(18)


def test_a_valve_that_stays_open_for_a_night() -> None:
    assert constants.stuck_open_gal(18, 8) == 8640
    with pytest.raises(ValueError, match="hours >= 0"):
        constants.stuck_open_gal(18, -1)


def test_half_of_the_rain() -> None:
    assert rain.half(1.2) == pytest.approx(0.6)


@pytest.mark.parametrize(("fell", "counts"), [(100, 84), (50, 46), (250, 150), (300, 155)])
def test_effective_rain_of_a_month_by_the_simple_rule(fell: float, counts: float) -> None:
    """rdrr.io/cran/FAO56 (found); 84.0 also from another library."""
    assert rain.usda_month_mm(fell) == pytest.approx(counts)
    assert rain.usda_month_in(fell / 25.4) * 25.4 == pytest.approx(counts)


@pytest.mark.parametrize("fell", [0.0, 0.5, 2.0, 11.0])
def test_no_rule_gives_more_than_what_fell(fell: float) -> None:
    for rule in rain.BY_NAME.values():
        assert 0 <= rule(fell) <= fell
