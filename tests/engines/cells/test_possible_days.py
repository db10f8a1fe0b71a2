"""Which days can be meant: from 1950 to the end of the year fifty years ahead."""

from datetime import date, timedelta

import pytest

from sites.cells.engines.possible_days import EARLIEST, is_possible, latest

TODAY = date(2025, 6, 15)
LAST = date(2075, 12, 31)
DAY = timedelta(days=1)


@pytest.mark.parametrize(
    ("day", "fits"),
    [
        (EARLIEST - DAY, False),
        (EARLIEST, True),
        (LAST, True),
        (LAST + DAY, False),
        (date(26, 11, 28), False),
        (date.max, False),
    ],
)
def test_a_day_can_be_meant_from_1950_to_fifty_years_ahead(day: date, fits: bool) -> None:
    assert is_possible(day, TODAY) is fits


def test_the_bounds_are_the_ones_that_pages_name() -> None:
    assert date(1950, 1, 1) == EARLIEST
    assert latest(TODAY) == LAST
