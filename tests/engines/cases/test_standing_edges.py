"""Edges of consent, of warranty and of the proof: at the limit itself, and on either side of it."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from faults.cases.engines.consent import Limit, covers
from faults.cases.engines.proof import (
    LEAST_OHMS,
    LEAST_VOLTS_RUNNING,
    MOST_OHMS,
    MOST_VOLTS_RUNNING,
    Oddity,
    oddities,
    oddities_at_decoder,
)
from faults.cases.engines.warranty import (
    Mend,
    feet_from_first_point,
    nearest_own_mend,
    warranty_end,
)

DAY, ONE = date(2025, 3, 1), timedelta(days=1)
CENT = Decimal("0.01")
TWO, MONEY = Decimal(2), Decimal(100)


@pytest.mark.parametrize(("over", "is_covered"), [(-CENT, True), (0 * CENT, True), (CENT, False)])
def test_a_figure_at_the_limit_is_covered(over: Decimal, is_covered: bool) -> None:
    assert covers(Limit(hours=TWO), Limit(hours=TWO + over)) is is_covered
    assert covers(Limit(amount=MONEY), Limit(amount=MONEY + over)) is is_covered
    both = Limit(TWO, MONEY)
    assert covers(both, Limit(TWO + over, MONEY)) is is_covered
    assert covers(both, Limit(TWO, MONEY + over)) is is_covered


def test_each_of_two_limits_needs_its_figure_and_no_limit_covers_nothing() -> None:
    both = Limit(TWO, MONEY)
    assert not covers(both, Limit(hours=TWO))
    assert not covers(both, Limit(amount=MONEY))
    assert not covers(Limit(), Limit(TWO, MONEY))
    assert not covers(Limit(hours=TWO), Limit(amount=MONEY))
    assert covers(Limit(hours=TWO), Limit(TWO, 9 * MONEY))


@pytest.mark.parametrize("value", [Decimal(0), -CENT])
def test_a_limit_of_nothing_is_no_limit(value: Decimal) -> None:
    for given in ({"hours": value}, {"amount": value}):
        with pytest.raises(ValueError, match=f"above 0, got {value}"):
            Limit(**given)
    assert Limit(CENT, CENT) == Limit(hours=CENT, amount=CENT)
    assert Limit() == Limit(None, None)


MEND = Mend(1, 50.0, DAY, DAY + 10 * ONE)


@pytest.mark.parametrize(
    ("found_on", "stands"),
    [
        (DAY - ONE, False),
        (DAY, True),
        (DAY + ONE, True),
        (DAY + 10 * ONE, True),
        (DAY + 11 * ONE, False),
    ],
)
def test_a_warranty_stands_from_the_mend_to_its_last_day(found_on: date, stands: bool) -> None:
    found = nearest_own_mend([MEND], feet=50, found_on=found_on, within_ft=0)
    assert found == (MEND if stands else None)


@pytest.mark.parametrize("sign", [-1, 1])
@pytest.mark.parametrize(("apart", "is_near"), [(2.9, True), (3.0, True), (3.1, False)])
def test_as_near_as_agreed_is_the_same_place(sign: int, apart: float, is_near: bool) -> None:
    found = nearest_own_mend([MEND], feet=50 + sign * apart, found_on=DAY, within_ft=3.0)
    assert (found is MEND) is is_near


def test_of_two_mends_the_nearer_counts_and_of_two_as_near_the_first() -> None:
    far, near = replace(MEND, source=2, feet=47.0), replace(MEND, source=3, feet=51.0)
    for mends in ([far, near], [near, far]):
        assert nearest_own_mend(mends, feet=50, found_on=DAY, within_ft=5) == near
    twin = replace(near, source=2, feet=49.0)
    for mends in ([twin, near], [near, twin]):
        assert nearest_own_mend(mends, feet=50, found_on=DAY, within_ft=5) == twin


def test_no_distance_below_nought_and_no_warranty_that_ends_before_it_begins() -> None:
    with pytest.raises(ValueError, match=r"within_ft >= 0, got -0\.1"):
        nearest_own_mend([], feet=50, found_on=DAY, within_ft=-0.1)
    assert replace(MEND, until=DAY).until == DAY
    with pytest.raises(ValueError, match="Expected until >= mended_on"):
        replace(MEND, until=DAY - ONE)


@pytest.mark.parametrize(("days", "last"), [(None, None), (0, DAY), (1, DAY + ONE)])
def test_the_last_day_of_a_warranty(days: int | None, last: date | None) -> None:
    assert warranty_end(DAY, days) == last


def test_feet_are_counted_from_the_first_point_of_a_leg() -> None:
    assert feet_from_first_point(30, 100, from_far_end=False) == 30
    assert feet_from_first_point(30, 100, from_far_end=True) == 70


def odd(**given: float) -> list[Oddity]:
    """Return what is odd about readings that are usual but for these."""
    return oddities(**{"volts": 26.0, "ohms": 30.0, **given})


@pytest.mark.parametrize(
    ("name", "least", "most", "oddity"),
    [
        ("volts", LEAST_VOLTS_RUNNING, MOST_VOLTS_RUNNING, Oddity.VOLTS),
        ("ohms", LEAST_OHMS, MOST_OHMS, Oddity.OHMS),
    ],
)
def test_a_reading_at_the_edge_of_what_is_usual_is_usual(
    name: str, least: float, most: float, oddity: Oddity
) -> None:
    assert [odd(**{name: value}) for value in (least, most)] == [[], []]
    assert [odd(**{name: value}) for value in (least - 0.1, most + 0.1)] == [[oddity], [oddity]]


@pytest.mark.parametrize(("megohms", "is_odd"), [(0.49, True), (0.5, False), (0.7, False)])
def test_insulation_is_judged_by_the_limit_of_every_other_reading(
    megohms: float, is_odd: bool
) -> None:
    assert odd(megohms=megohms) == ([Oddity.INSULATION] if is_odd else [])
    assert odd() == []


def test_every_odd_reading_is_named_in_order() -> None:
    assert odd(volts=1, ohms=1, megohms=0.1) == [Oddity.VOLTS, Oddity.OHMS, Oddity.INSULATION]


@pytest.mark.parametrize(
    ("volts", "current_ma", "odd"),
    [
        (0.0, None, [Oddity.VOLTS]),
        (None, 0.0, [Oddity.CURRENT]),
        (0.0, 0.0, [Oddity.VOLTS, Oddity.CURRENT]),
        (0.1, None, []),
        (None, 0.1, []),
        (0.1, 0.1, []),
    ],
)
def test_only_nothing_at_all_is_unusual_at_a_decoder(
    volts: float | None, current_ma: float | None, odd: list[Oddity]
) -> None:
    assert oddities_at_decoder(volts=volts, current_ma=current_ma) == odd
