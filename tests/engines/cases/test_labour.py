"""Hours by what was done, less what lines name: by hand, and by what holds of any of them."""

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from faults.cases.engines.labour import hours_open, usual_charge
from faults.prices.engines.pricing import LABOUR, Charge

HOURS = st.integers(0, 900).map(lambda n: Decimal(n) / 60)
TRACING, DIGGING, HELPER = Charge.TRACING, Charge.DIGGING, Charge.HELPER


def test_the_usual_work_is_digging_where_ground_is_opened() -> None:
    assert (usual_charge(digs=True), usual_charge(digs=False)) == (DIGGING, TRACING)


def test_a_line_covers_its_own_charge_first() -> None:
    done = {TRACING: Decimal(3), HELPER: Decimal(2)}
    assert hours_open(done, {HELPER: Decimal(2)}) == {TRACING: 3}
    assert hours_open(done, {HELPER: Decimal("1.5")}) == {TRACING: 3, HELPER: Decimal("0.5")}


def test_what_is_over_and_what_names_nothing_covers_the_rest_in_order() -> None:
    done = {HELPER: Decimal(2), TRACING: Decimal(3)}
    assert hours_open(done, {DIGGING: Decimal(1)}) == {TRACING: 2, HELPER: 2}
    assert hours_open(done, {None: Decimal(4)}) == {HELPER: 1}
    assert hours_open(done, {HELPER: Decimal(4), None: Decimal("0.5")}) == {TRACING: Decimal("0.5")}
    assert hours_open(done, {None: Decimal(5)}) == {}
    assert hours_open({}, {None: Decimal(5)}) == {}


@given(
    done=st.dictionaries(st.sampled_from(LABOUR), HOURS),
    booked=st.dictionaries(st.sampled_from([*LABOUR, None]), HOURS),
)
def test_the_sum_is_what_was_done_less_what_is_booked_and_never_below_0(
    done: dict[Charge, Decimal], booked: dict[Charge | None, Decimal]
) -> None:
    found = hours_open(done, booked)
    all_done, all_booked = sum(done.values(), Decimal(0)), sum(booked.values(), Decimal(0))
    assert abs(sum(found.values(), Decimal(0)) - max(all_done - all_booked, Decimal(0))) < 1e-12
    assert all(0 < hours <= done[charge] for charge, hours in found.items())
