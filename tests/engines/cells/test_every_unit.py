"""Each unit that a heading or a cell may name, against published factors.

Factors: NIST Special Publication 811 (2008), appendix B.8, from memory; a foot of 0.3048 m, an
inch of 2.54 cm, a US gallon of 3.785411784 l and an acre of 43,560 sq ft are exact.
"""

import pytest

from sites.cells.engines.measures import (
    AREA,
    DEGREES,
    DEPTH,
    FACTOR,
    FLOW,
    LENGTH,
    MEGOHMS,
    METRIC,
    MINUTES,
    OHMS,
    POWER,
    RATE,
    SHARE,
    TEMPERATURE,
    VOLTS,
    WATER_DEPTH,
    Dimension,
    number_part,
    read_measure,
)
from sites.cells.engines.numbers import COMMA, POINT

M2 = 10.763910416709722
LITRE = 0.26417205235814845

# One of each, in the unit that is kept.
ONE = [
    (LENGTH, "ft feet foot ' ′ lf lin.ft", 1),
    (LENGTH, "m metre metres meter meters mt mts", 3.280839895013123),
    (LENGTH, "yd yard yards", 3),
    (LENGTH, 'in inch inches " ″', 0.08333333333333333),
    (LENGTH, "cm", 0.03280839895013123),
    (DEPTH, 'in inch inches " ″', 1),
    (DEPTH, "cm", 0.39370078740157483),
    (DEPTH, "mm", 0.03937007874015748),
    (DEPTH, "m metre metres meter meters mt mts", 39.37007874015748),
    (DEPTH, "ft feet foot ' ′ lf", 12),
    (AREA, "sqft sq.ft ft² sf squarefeet square-foot sqfeet", 1),
    (AREA, "m2 m² sqm squaremetres squaremeters mts2", M2),
    (AREA, "ac acre acres", 43_560),
    (AREA, "ha hectare hectares", M2 * 10_000),
    (FLOW, "gpm gal/min galmin gallons/min", 1),
    (FLOW, "l/min lpm litres/min liters/min lmin", LITRE),
    (FLOW, "l/h lph litres/h liters/h", LITRE / 60),
    (FLOW, "gph gal/h", 0.016666666666666666),
    (FLOW, "m3/h m³/h cum/h m3h", LITRE * 1000 / 60),
    (RATE, "in/h in/hr iph inches/hour inches/h", 1),
    (RATE, "mm/h mm/hr mmh", 0.03937007874015748),
    (WATER_DEPTH, 'in inch inches " ″', 1),
    (WATER_DEPTH, "mm l/m2 l/m²", 0.03937007874015748),
    (WATER_DEPTH, "cm", 0.39370078740157483),
    (VOLTS, "v volt volts vac acv", 1),
    (POWER, "va w watt watts", 1),
    (OHMS, "ohm ohms ω Ω", 1),
    (OHMS, "kohm kohms kω", 1000),
    (MEGOHMS, "megohm megohms mohm mω mohms", 1),
    (MEGOHMS, "kohm kω", 0.001),
    (MINUTES, "min mins minute minutes ' ′", 1),
    (MINUTES, "h hr", 60),
    (SHARE, "1", 1),
    (SHARE, "% percent", 0.01),
    (FACTOR, "1", 1),
    (FACTOR, "%", 0.01),
    (DEGREES, "° deg degrees", 1),
]


@pytest.mark.parametrize(
    ("dimension", "unit", "stored"),
    [(dimension, unit, stored) for dimension, units, stored in ONE for unit in units.split()],
)
def test_one_of_each_unit(dimension: Dimension, unit: str, stored: float) -> None:
    assert dimension.to_stored(1, unit) == pytest.approx(stored, rel=1e-12)
    assert dimension.from_stored(stored, unit) == pytest.approx(1, rel=1e-12)


@pytest.mark.parametrize("unit", ["c", "°C", "deg C", "Celsius"])
def test_water_boils_and_freezes(unit: str) -> None:
    assert [TEMPERATURE.to_stored(each, unit) for each in (0, 100, -40)] == [32, 212, -40]
    assert TEMPERATURE.from_stored(212, unit) == pytest.approx(100)


@pytest.mark.parametrize("unit", ["f", "°F", "deg F", "Fahrenheit"])
def test_fahrenheit_is_kept_as_it_is(unit: str) -> None:
    assert TEMPERATURE.to_stored(70, unit) == 70


@pytest.mark.parametrize(
    ("dimension", "us", "metric", "stored"),
    [
        (LENGTH, "ft", "m", "ft"),
        (DEPTH, "in", "cm", "in"),
        (AREA, "sq ft", "m2", "sq ft"),
        (FLOW, "gpm", "l/min", "gpm"),
        (RATE, "in/h", "mm/h", "in/h"),
        (WATER_DEPTH, "in", "mm", "in"),
        (TEMPERATURE, "°F", "°C", "°F"),
        (VOLTS, "V", "V", "V"),
        (POWER, "VA", "VA", "VA"),
        (OHMS, "ohm", "ohm", "ohm"),
        (MEGOHMS, "megohm", "megohm", "megohm"),
        (MINUTES, "min", "min", "min"),
        (SHARE, "1", "1", ""),
        (FACTOR, "1", "1", ""),
        (DEGREES, "°", "°", "°"),
    ],
)
def test_the_unit_where_none_is_written(
    dimension: Dimension, us: str, metric: str, stored: str
) -> None:
    assert (dimension.default("us"), dimension.default(METRIC)) == (us, metric)
    assert dimension.stored == stored
    assert dimension.knows(us)
    assert dimension.knows(metric)
    assert dimension.examples == (us if us == metric else f"{us}, {metric}")


def test_the_unit_behind_a_number_wins_over_that_of_the_heading() -> None:
    assert read_measure("2 yd", LENGTH, unit="ft", mark=POINT) == 6
    assert read_measure("2", LENGTH, unit="yd", mark=POINT) == 6
    assert read_measure("1.250 m", LENGTH, unit="ft", mark=COMMA) == pytest.approx(
        4101.05, abs=0.01
    )
    assert read_measure("1.250 m", LENGTH, unit="ft", mark=POINT) == pytest.approx(4.10, abs=0.01)


def test_what_holds_no_number_is_refused() -> None:
    assert read_measure(".5", LENGTH, unit="yd", mark=POINT) == 1.5
    with pytest.raises(ValueError, match="number"):
        read_measure("deep", LENGTH, unit="yd", mark=POINT)


@pytest.mark.parametrize(
    ("text", "number"), [("12 in", "12"), (" 1,5m ", "1,5"), ("7", "7"), ("deep", "deep")]
)
def test_the_number_of_a_cell_without_its_unit(text: str, number: str) -> None:
    assert number_part(text) == number


@pytest.mark.parametrize(
    ("dimension", "stored", "us", "metric"),
    [
        (LENGTH, 1000.4, "1,000 ft", "305 m"),
        (LENGTH, 0.0, "0 ft", "0 m"),
        (DEPTH, 17.6, "18 in", "45 cm"),
        (DEPTH, 1.0, "1 in", "3 cm"),
    ],
)
def test_a_measure_is_written_in_whole_numbers_of_the_systems_unit(
    dimension: Dimension, stored: float, us: str, metric: str
) -> None:
    assert dimension.in_words(stored, "us") == us
    assert dimension.in_words(stored, METRIC) == metric
