"""Hours of digging by hand, held against printed figures, and quotes to the cent."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.work.engines.digging import (
    DIG_H_PER_YD3_MOST,
    FILL_H_PER_YD3,
    LEAST_H_PER_YD3,
    M3_PER_YD3,
    PIT_M3_PER_H,
    TRENCH_M3_PER_H,
    Ground,
    Hole,
    Hours,
    LineKind,
    Quote,
    QuoteLine,
    UnableToEstimate,
    dig_hours,
    exact_hours,
    fill_hours,
    man_hours_per_yd3,
    quote_for,
)

HOLE = Hole(length_ft=3, width_in=24, depth_in=18)


def test_the_tables_are_as_printed() -> None:
    # planningplanet.com/wiki/422684/excavate-reduce-levels (found), m3 an hour.
    assert list(PIT_M3_PER_H.values()) == [0.50, 0.43, 0.34, 0.35, 0.28]
    assert list(TRENCH_M3_PER_H.values()) == [0.66, 0.57, 0.46, 0.38]
    # Industrial Process Plant Construction Estimating and Man-Hour Analysis p. 84 (found).
    assert (DIG_H_PER_YD3_MOST, FILL_H_PER_YD3) == (2.80, 3.00)


# Computed, 1 yd3 = 0.764555 m3.
@pytest.mark.parametrize(
    ("ground", "hours"),
    [
        (Ground.LOOSE, 1.53),
        (Ground.FIRM, 1.78),
        (Ground.CLAY, 2.18),
        (Ground.BOULDER_CLAY, 2.73),
    ],
)
def test_man_hours_of_a_cubic_yard_of_pit(ground: Ground, hours: float) -> None:
    assert pytest.approx(0.764555, abs=5e-7) == M3_PER_YD3
    assert man_hours_per_yd3(ground) == pytest.approx(hours, abs=5e-3)


@pytest.mark.parametrize("ground", PIT_M3_PER_H)
def test_every_figure_lies_in_the_range_that_is_shown(ground: Ground) -> None:
    assert LEAST_H_PER_YD3 <= man_hours_per_yd3(ground) <= DIG_H_PER_YD3_MOST


@pytest.mark.parametrize("ground", TRENCH_M3_PER_H)
def test_a_trench_is_dug_faster_than_a_pit(ground: Ground) -> None:
    assert man_hours_per_yd3(ground, is_trench=True) < man_hours_per_yd3(ground)


# Estimator's Piping Man Hour Manual p. 207 (found) sets hardpan and rock apart; no hours seen.
@pytest.mark.parametrize("ground", [Ground.HARDPAN, Ground.ROCK])
def test_ground_without_a_figure_is_refused(ground: Ground) -> None:
    with pytest.raises(UnableToEstimate, match=f"by hand in {ground}"):
        dig_hours(HOLE, ground)


def test_gravel_has_no_figure_for_a_trench() -> None:
    with pytest.raises(UnableToEstimate, match="trench dug by hand in gravel"):
        man_hours_per_yd3(Ground.GRAVEL, is_trench=True)


def test_the_worked_hole() -> None:
    # Computed; within 0.001 h.
    assert HOLE.volume_yd3 == pytest.approx(0.3333, abs=5e-5)
    assert HOLE.volume_yd3 * M3_PER_YD3 == pytest.approx(0.2549, abs=5e-5)
    assert dig_hours(HOLE, Ground.FIRM).low_h == pytest.approx(0.593, abs=1e-3)
    assert dig_hours(HOLE, Ground.CLAY).low_h == pytest.approx(0.728, abs=1e-3)
    assert dig_hours(HOLE).high_h == pytest.approx(0.933, abs=1e-3)
    assert dig_hours(HOLE).low_h == pytest.approx(0.5)
    assert fill_hours(HOLE) == pytest.approx(1.000, abs=1e-3)


@pytest.mark.parametrize(
    ("hole", "is_beyond"),
    [(HOLE, False), (Hole(3, 24, 59), False), (Hole(3, 24, 60), True), (Hole(11, 24, 18), True)],
)
def test_says_where_the_figures_end(hole: Hole, is_beyond: bool) -> None:
    # Depth to 1.5 m, pits to 2 m2 (found, same page as the table).
    assert hole.is_beyond_the_figures is is_beyond


def test_the_worked_quote() -> None:
    # Computed; both rates are our own.
    quote = quote_for(
        labour_hours=[
            Decimal("1.75"),
            exact_hours(dig_hours(HOLE).high_h),
            exact_hours(fill_hours(HOLE)),
            Decimal("0.5"),
            Decimal("0.4"),
        ],
        labour_rate=Decimal("65.00"),
        standby_hours=Decimal("0.5"),
        standby_rate=Decimal("45.00"),
    )
    labour, standby = quote.lines
    assert round(labour.quantity, 4) == Decimal("4.5833")
    assert (labour.amount, standby.amount) == (Decimal("297.92"), Decimal("22.50"))
    assert (labour.kind, standby.kind) == (LineKind.LABOUR, LineKind.STANDBY)
    assert quote.total == Decimal("320.42")


def test_half_a_cent_goes_upward() -> None:
    # Computed: 0.5 x 0.25 = 0.125; rounding to even would give 0.12.
    assert QuoteLine(LineKind.LABOUR, Decimal("0.5"), Decimal("0.25")).amount == Decimal("0.13")


def test_no_standing_by_no_line() -> None:
    quote = quote_for(labour_hours=[Decimal(1)], labour_rate=Decimal(65))
    assert [line.kind for line in quote.lines] == [LineKind.LABOUR]


def test_nothing_costs_nothing() -> None:
    assert str(Quote(()).total) == "0.00"


def test_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="depth_in > 0, got -3"):
        Hole(3, 24, -3)
    with pytest.raises(ValueError, match="price >= 0, got -1"):
        QuoteLine(LineKind.PARTS, Decimal(1), Decimal(-1))
    with pytest.raises(ValueError, match="quantity >= 0, got NaN"):
        QuoteLine(LineKind.PARTS, Decimal("nan"), Decimal(1))
    with pytest.raises(ValueError, match="low_h <= high_h"):
        Hours(2, 1)


numbers = st.decimals(0, 500, places=4)
lines = st.lists(st.builds(QuoteLine, st.sampled_from(LineKind), numbers, numbers), max_size=6)


@given(lines)
def test_a_total_is_the_sum_of_the_lines_as_printed(drawn: list[QuoteLine]) -> None:
    total = Quote(tuple(drawn)).total
    assert total == sum(Decimal(f"{line.amount:.2f}") for line in drawn)
    exact = sum(line.quantity * line.price for line in drawn)
    assert abs(total - exact) <= Decimal("0.005") * len(drawn)


@given(st.sampled_from(list(PIT_M3_PER_H)) | st.none(), st.floats(6, 60), st.floats(0, 24))
def test_a_deeper_hole_never_takes_less(ground: Ground | None, depth: float, more: float) -> None:
    shallow, deep = (dig_hours(Hole(3, 24, inches), ground) for inches in (depth, depth + more))
    assert shallow.low_h <= deep.low_h
    assert shallow.high_h <= deep.high_h
