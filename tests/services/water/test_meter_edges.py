"""The edges of a spell's meter: a month on either side of its first and last day; two spells."""

from datetime import date

import pytest

from sites.stopgaps.engines.spells import Interval
from sites.water.services.metering import LedgerRow, _lies_in, meter_over

AUGUST, SEPTEMBER = date(2025, 8, 1), date(2025, 9, 1)


def row(month: date, days: int, **given: object) -> LedgerRow:
    """A month of which everything is known: 10 gallons of excess a day, 1 of money."""
    known = {
        "applied_gal": 12.0 * days,
        "needed_gal": 2.0 * days,
        "excess_gal": 10.0 * days,
        "shortfall_gal": 0.0,
        "cost": 1.0 * days,
        "lacks": "",
        "notes": "",
        "table": "",
    }
    return LedgerRow(1, month, days, **{**known, **given})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("days", "until", "is_in"),
    [
        (Interval(date(2025, 7, 1), AUGUST), date(2026, 1, 1), False),
        (Interval(date(2025, 7, 1), date(2025, 8, 2)), date(2026, 1, 1), True),
        (Interval(AUGUST, SEPTEMBER), date(2026, 1, 1), True),
        (Interval(AUGUST), date(2026, 1, 1), True),
        (Interval(date(2025, 8, 31), date(2025, 9, 9)), date(2026, 1, 1), True),
        (Interval(SEPTEMBER), date(2026, 1, 1), False),
        (Interval(date(2025, 7, 1)), AUGUST, False),
        (Interval(date(2025, 7, 1)), date(2025, 8, 2), True),
    ],
)
def test_a_spell_has_the_months_in_which_a_day_of_it_lies(
    days: Interval, until: date, is_in: bool
) -> None:
    assert _lies_in(AUGUST, days, until) is is_in


@pytest.mark.parametrize(
    ("until", "this_month"),
    [(date(2025, 8, 31), 300.0), (SEPTEMBER, 0.0), (date(2025, 9, 2), 20.0)],
)
def test_a_new_month_begins_at_nothing(until: date, this_month: float) -> None:
    rows = [row(AUGUST, min(31, (until - AUGUST).days))]
    if until > SEPTEMBER:
        rows.append(row(SEPTEMBER, 1, excess_gal=20.0))
    meter = meter_over(1, rows, until=until, is_open=True)
    assert meter.month_excess_gal == pytest.approx(this_month)
    assert meter_over(1, rows, until=until, is_open=False).month_excess_gal is None


def test_what_is_not_known_in_one_of_two_months_is_said_and_not_counted() -> None:
    known = row(AUGUST, 31)
    gap = row(SEPTEMBER, 30, excess_gal=None, cost=None, lacks="flow;days")
    meter = meter_over(1, [known, gap], until=date(2025, 10, 1), is_open=False)
    assert (meter.months, meter.months_known, meter.months_priced) == (2, 1, 1)
    assert (meter.excess_gal, meter.cost, meter.lacks) == (310.0, 31.0, "days;flow")


def test_a_month_without_a_price_is_known_and_says_so() -> None:
    unpriced = row(SEPTEMBER, 30, cost=None)
    both = [row(AUGUST, 31), unpriced]
    meter = meter_over(1, both, until=date(2025, 10, 1), is_open=False)
    assert (meter.months_known, meter.months_priced, meter.lacks) == (2, 1, "price")
    assert (meter.excess_gal, meter.cost) == (610.0, 31.0)
    alone = meter_over(1, [unpriced], until=date(2025, 10, 1), is_open=False)
    assert alone.cost is None


def test_nothing_counted_yet_is_0_and_nothing_known_is_not() -> None:
    empty = meter_over(1, [], until=AUGUST, is_open=True)
    assert (empty.months, empty.excess_gal, empty.cost) == (0, 0.0, 0.0)
    gap = row(AUGUST, 31, excess_gal=None, cost=None, lacks="flow")
    meter = meter_over(1, [gap], until=SEPTEMBER, is_open=False)
    assert (meter.excess_gal, meter.cost) == (None, None)
