"""Our warranty on a mend, what a client allows unasked, and which readings look right."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.cases.engines.consent import Limit, covers
from faults.cases.engines.proof import Oddity, oddities
from faults.cases.engines.warranty import (
    Mend,
    feet_from_first_point,
    nearest_own_mend,
    warranty_end,
)

DAY = date(2025, 3, 1)
YEAR = timedelta(days=365)


def _mend(source: int = 1, feet: float = 50.0, mended_on: date = DAY) -> Mend:
    return Mend(source, feet, mended_on, mended_on + YEAR)


def _near(*mends: Mend, feet: float = 50.0, found_on: date = DAY) -> Mend | None:
    return nearest_own_mend(mends, feet=feet, found_on=found_on, within_ft=10)


@pytest.mark.parametrize(
    ("feet", "found_on", "is_ours"),
    [
        (60.0, DAY, True),
        (60.1, DAY, False),
        (40.0, DAY + YEAR, True),
        (50.0, DAY + YEAR + timedelta(days=1), False),
        (50.0, DAY - timedelta(days=1), False),
    ],
)
def test_a_break_is_ours_near_a_mend_and_within_its_days(
    feet: float, found_on: date, is_ours: bool
) -> None:
    assert (_near(_mend(), feet=feet, found_on=found_on) is not None) is is_ours


def test_the_nearest_mend_is_named() -> None:
    near = _near(_mend(1, 45.0), _mend(2, 52.0), _mend(3, 58.0))
    assert near is not None
    assert near.source == 2


@given(st.floats(0, 500), st.floats(0, 500))
def test_feet_from_either_end_name_one_place(feet: float, length: float) -> None:
    there = feet_from_first_point(feet, length, from_far_end=True)
    assert feet_from_first_point(there, length, from_far_end=True) == pytest.approx(feet)


def test_no_agreed_days_mean_no_warranty() -> None:
    assert warranty_end(DAY, None) is None
    assert warranty_end(DAY, 365) == DAY + YEAR


def test_a_warranty_does_not_end_before_the_mend() -> None:
    with pytest.raises(ValueError, match="Expected until >= mended_on"):
        Mend(1, 0.0, DAY, DAY - YEAR)


@pytest.mark.parametrize(
    ("allowed", "stated", "is_covered"),
    [
        ((4, None), (3, None), True),
        ((4, None), (4, 900), True),
        ((4, None), (5, None), False),
        ((4, None), (None, 10), False),
        ((4, 500), (3, None), False),
        ((4, 500), (3, 500), True),
        ((None, None), (1, 1), False),
    ],
)
def test_each_limit_that_the_client_set_is_met_by_a_stated_figure(
    allowed: tuple[int | None, ...], stated: tuple[int | None, ...], is_covered: bool
) -> None:
    assert covers(_limit(*allowed), _limit(*stated)) is is_covered


def _limit(hours: int | None, amount: int | None) -> Limit:
    return Limit(hours and Decimal(hours), amount and Decimal(amount))


def test_a_limit_is_above_nought() -> None:
    with pytest.raises(ValueError, match="Expected a limit above 0"):
        Limit(Decimal(0))


@pytest.mark.parametrize(
    ("readings", "odd"),
    [
        ({"volts": 24.0, "ohms": 30.0}, []),
        ({"volts": 12.0, "ohms": 30.0}, [Oddity.VOLTS]),
        ({"volts": 24.0, "ohms": 900.0, "megohms": 0.2}, [Oddity.OHMS, Oddity.INSULATION]),
        ({"volts": 24.0, "ohms": 30.0, "megohms": 0.49}, [Oddity.INSULATION]),
        ({"volts": 24.0, "ohms": 30.0, "megohms": 0.5}, []),
        ({"volts": 24.0, "ohms": 30.0, "megohms": 0.7}, []),
    ],
)
def test_unusual_readings_are_named(readings: dict[str, float], odd: list[Oddity]) -> None:
    assert oddities(**readings) == odd
