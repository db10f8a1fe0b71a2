"""Copper agrees with the printed tables, each at its own temperature."""

import pytest

from faults.readings.engines.placing import COPPER_SHARE
from sites.wires.engines.alone import Amperes
from sites.wires.engines.copper import (
    CLASS_2_VA,
    FT_PER_M,
    OHM_MM2_PER_M,
    PER_K_AT_20_C,
    UnableToCompute,
    WireSize,
    awg_diameter_in,
    awg_ohms_per_kft,
    copper_factor,
    load_va,
)

# Floyd, Electric Circuit Fundamentals 2e, table at hyperphysics.phy-astr.gsu.edu (found).
FLOYD_AT_20_C = {10: 0.9989, 12: 1.588, 14: 2.525, 18: 6.385, 20: 10.15}
# NEC chapter 9, table 8, solid uncoated at 75 C, two copies that agree (found in copies).
NEC_AT_75_C = {18: 7.77, 14: 3.07, 12: 1.93}
# The same table, ohms per km of solid wire (found in the second copy).
NEC_PER_KM_AT_75_C = {18: 25.5, 14: 10.1, 12: 6.34}
# The same table, 7 strands (found in copies). The product knows solid wire only.
NEC_STRANDED_AT_75_C = {18: 7.95, 16: 4.99, 14: 3.14, 12: 1.98, 10: 1.24}
# IEC 60228:2004 table 1, class 1 plain copper, greatest ohms per km at 20 C (found in copies).
IEC_AT_20_C = {0.5: 36.0, 1.0: 18.1, 1.5: 12.1, 2.5: 7.41}
# Factors to 20 C of IEC 60228 (found in a copy).
IEC_TO_20_C = {5: 1.064, 10: 1.042, 25: 0.980, 30: 0.962, 75: 0.820}


@pytest.mark.parametrize(("awg", "printed"), FLOYD_AT_20_C.items())
def test_awg_ohms_at_20_c_as_floyd_prints_them(awg: int, printed: float) -> None:
    assert awg_ohms_per_kft(awg) == pytest.approx(printed, rel=1e-3)


@pytest.mark.parametrize(("awg", "printed"), NEC_AT_75_C.items())
def test_awg_ohms_at_75_c_as_the_code_book_prints_them(awg: int, printed: float) -> None:
    assert WireSize(awg=awg).ohms_per_kft(75) == pytest.approx(printed, rel=5e-3)


@pytest.mark.parametrize(("awg", "printed"), NEC_PER_KM_AT_75_C.items())
def test_the_code_books_two_columns_agree(awg: int, printed: float) -> None:
    assert WireSize(awg=awg).ohms_per_kft(75) * FT_PER_M == pytest.approx(printed, rel=5e-3)


@pytest.mark.parametrize(("awg", "printed"), NEC_STRANDED_AT_75_C.items())
def test_stranded_wire_reads_a_little_more_and_within_what_copper_allows(
    awg: int, printed: float
) -> None:
    more = printed / WireSize(awg=awg).ohms_per_kft(75) - 1
    assert 0.015 < more < COPPER_SHARE


def test_resistivity_and_its_rise_with_warmth() -> None:
    # 0.017241 ohm mm2/m at 20 C: IEC 60028:1925 (found in a copy). 0.00393 per K: Industrial
    # Power Engineering and Applications Handbook p. 970 (found).
    assert (OHM_MM2_PER_M, PER_K_AT_20_C) == (0.017241, 0.00393)
    # 97 to 101 % of the standard on the market (found, the page of IEC 60028).
    assert pytest.approx(1 - 0.97) == COPPER_SHARE


# Computed from diameter and resistivity.
@pytest.mark.parametrize(
    ("awg", "at_20_c", "at_75_c"),
    [
        (10, 0.9988, None),
        (12, 1.5882, 1.9315),
        (14, 2.5254, 3.0712),
        (18, 6.3849, 7.7650),
        (20, 10.1524, None),
    ],
)
def test_awg_ohms_as_computed(awg: int, at_20_c: float, at_75_c: float | None) -> None:
    assert awg_ohms_per_kft(awg) == pytest.approx(at_20_c, rel=1e-4)
    if at_75_c is not None:
        assert WireSize(awg=awg).ohms_per_kft(75) == pytest.approx(at_75_c, rel=1e-4)


# Computed from the law of ASTM B258 (law from memory).
@pytest.mark.parametrize(
    ("awg", "inches"), [(10, 0.10190), (12, 0.08081), (14, 0.06408), (18, 0.04030), (20, 0.03196)]
)
def test_diameters_follow_the_law(awg: int, inches: float) -> None:
    assert awg_diameter_in(awg) == pytest.approx(inches, abs=6e-6)


@pytest.mark.parametrize(("mm2", "ohm_per_km"), IEC_AT_20_C.items())
def test_metric_sizes_are_the_standards_greatest_and_never_from_area(
    mm2: float, ohm_per_km: float
) -> None:
    per_km = WireSize(mm2=mm2).ohms_per_kft() / 0.3048
    assert per_km == pytest.approx(ohm_per_km)
    assert per_km > OHM_MM2_PER_M / mm2 * 1000 * 1.04


@pytest.mark.parametrize(("celsius", "factor"), IEC_TO_20_C.items())
def test_metric_sizes_warm_as_the_standards_factors_say(celsius: float, factor: float) -> None:
    warm, at_20 = WireSize(mm2=1.5).ohms_per_kft(celsius), WireSize(mm2=1.5).ohms_per_kft()
    assert at_20 / warm == pytest.approx(factor, abs=6e-4)


def test_the_metric_factors_follow_0_004_and_not_0_00393() -> None:
    # Computed: 0.00393 gives 1.0626 at 5 C, where the table prints 1.064.
    assert 1 / copper_factor(5) == pytest.approx(1.0626, abs=5e-5)


def test_the_code_books_correction_is_ours_from_another_temperature() -> None:
    # R2 = R1 [1 + 0.00323 (T2 - 75)], note of table 8 (found in a copy); algebra.
    assert pytest.approx(0.003232, abs=5e-7) == PER_K_AT_20_C / (1 + PER_K_AT_20_C * 55)
    assert copper_factor(40) / copper_factor(75) == pytest.approx(1 + 0.00323 * (40 - 75), rel=1e-3)


@pytest.mark.parametrize(("celsius", "factor"), [(10, 0.9607), (25, 1.01965), (75, 1.21615)])
def test_factors(celsius: float, factor: float) -> None:
    assert copper_factor(celsius) == pytest.approx(factor, abs=5e-6)


def test_a_figure_for_75_c_is_never_warmed_again() -> None:
    # A web example takes the 75 C figure for one at 20 C and warms it once more: wrong.
    right = WireSize(awg=14).ohms_per_kft(75)
    wrong = 3.07 * copper_factor(75)
    assert right == pytest.approx(3.07, rel=5e-3)
    assert wrong / right == pytest.approx(1.216, abs=5e-3)


def test_load_of_a_transformer() -> None:
    # Computed: 24 x (0.4 + 2 x 0.25).
    assert load_va(volts=24, inrush_amperes=0.4, holding_amperes=[0.25, 0.25]) == pytest.approx(
        21.6
    )


def test_class_2_is_100_va() -> None:
    # 100 VA at 30 V or less: ecmweb.com, article 725 (found). Computed: 4.17 A at 24 V.
    assert CLASS_2_VA == 100
    assert load_va(volts=24, inrush_amperes=4.17, holding_amperes=[]) == pytest.approx(
        100, rel=1e-3
    )


def test_the_amperes_and_volts_that_we_assume_lie_where_others_saw_them() -> None:
    # 0.2 to 0.6 A of inrush: NMSU (found); 19 to 27 V out: a golf superintendents' newsletter
    # (found). Holding 0.19 to 0.25 A, inrush 0.3 to 0.6 A: from memory only, common practice.
    taken = Amperes()
    assert 0.3 <= taken.starting_amperes <= 0.6
    assert 0.19 <= taken.holding_amperes <= 0.25
    assert 19 <= taken.nominal_volts <= 27


EIGHTEEN = WireSize(awg=18)


@pytest.mark.parametrize(
    "size", [{"awg": 9}, {"awg": 21}, {"mm2": 1.6}, {}, {"awg": 14, "mm2": 2.5}]
)
def test_sizes_outside_the_tables_are_refused(size: dict[str, float]) -> None:
    with pytest.raises(UnableToCompute):
        WireSize(**size)  # type: ignore[arg-type]
