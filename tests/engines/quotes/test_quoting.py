"""What each option of a quote comes to, to the cent."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.prices.engines.pricing import (
    HOUR,
    LUMP,
    Charge,
    Price,
    Prices,
    Scope,
    Sheet,
    nearest,
)
from faults.quotes.engines.quoting import (
    FOR_A_DIG,
    FOR_A_SEARCH,
    OPENS_GROUND,
    Option,
    OptionKind,
    Total,
    Unpriced,
    Work,
    option_of,
    total_of,
)
from faults.work.engines.digging import Ground, Hole, dig_hours, exact_hours, fill_hours

D = Decimal


def prices(*more: Price, tracing: str = "65", standby: str = "45") -> Prices:
    own = (Price(Charge.TRACING, D(tracing)), Price(Charge.STANDBY, D(standby)), *more)
    return nearest([Sheet(Scope.COMPANY, "USD", None, own)])


def said(option: Option) -> list[tuple[Charge, Decimal]]:
    return [(line.price.charge, line.amount) for line in option.lines]


HOLE = Hole(3, 24, 18)
# The worked example of a quote: 1.75 h to locate, 0.5 h to mend, 0.4 h of travel, 0.5 h waiting.
EXAMPLE = Work(
    searching_h=D("1.75"),
    travel_h=D("0.4"),
    digging_h=exact_hours(dig_hours(HOLE, Ground.FIRM).high_h),
    filling_h=exact_hours(fill_hours(HOLE)),
    mending_h=D("0.5"),
    waiting_h=D("0.5"),
)


def test_the_worked_example_comes_to_320_42() -> None:
    option = option_of(OptionKind.WE_DIG, EXAMPLE, prices())
    labour = sum(amount for charge, amount in said(option) if charge is not Charge.STANDBY)
    assert labour == D("297.92")
    assert dict(said(option))[Charge.STANDBY] == D("22.50")
    assert option.net == D("320.42")
    assert round(option.hours, 4) == D("5.0833")


def test_digging_with_a_price_of_its_own_stands_on_its_own_line() -> None:
    option = option_of(
        OptionKind.WE_DIG, EXAMPLE, prices(Price(Charge.DIGGING, D(60)), standby="45")
    )
    # 2.15 h at 65; 0.9333 + 1.0 + 0.5 h at 60; half an hour at 45.
    assert said(option) == [
        (Charge.TRACING, D("139.75")),
        (Charge.DIGGING, D("146.00")),
        (Charge.STANDBY, D("22.50")),
    ]


def test_where_the_client_digs_we_stand_by_and_mend_and_dig_nothing() -> None:
    work = replace(EXAMPLE, beside_them_h=D(2), materials={"splice": D(2)})
    more = Price(Charge.MATERIAL, D("3.10"), "each", "splice")
    option = option_of(OptionKind.YOU_DIG, work, prices(more))
    assert said(option) == [
        (Charge.TRACING, D("139.75")),
        (Charge.DIGGING, D("32.50")),
        (Charge.STANDBY, D("90.00")),
        (Charge.MATERIAL, D("6.20")),
    ]


def test_a_machine_for_a_lump_is_charged_once_however_long_it_takes() -> None:
    lump = Price(Charge.MACHINE, D(480), LUMP)
    for hours in ("1", "7.5"):
        work = Work(machine_h=D(hours), mending_h=D(1), trips=D(2))
        trip = Price(Charge.TRIP, D(30), LUMP)
        option = option_of(OptionKind.MACHINE, work, prices(lump, trip))
        assert said(option) == [
            (Charge.DIGGING, D("65.00")),
            (Charge.MACHINE, D("480.00")),
            (Charge.TRIP, D("60.00")),
        ]
        assert option.hours == D(hours) + 1


def test_another_wire_takes_its_own_hours_and_its_own_materials() -> None:
    wire = Price(Charge.MATERIAL, D("0.42"), "ft", "wire")
    work = Work(
        searching_h=D(1),
        other_wire_h=D(3),
        digging_h=D(9),
        materials={"splice": D(2)},
        wire_materials={"wire": D(120)},
    )
    option = option_of(OptionKind.OTHER_WIRE, work, prices(wire))
    assert said(option) == [(Charge.TRACING, D("260.00")), (Charge.MATERIAL, D("50.40"))]


def test_doing_nothing_costs_what_is_done_already_and_no_trip() -> None:
    trip = Price(Charge.TRIP, D(30), LUMP)
    work = Work(searching_h=D(3), so_far_h=D(1), travel_h=D(1), trips=D(1))
    assert said(option_of(OptionKind.TIMER, work, prices(trip))) == [(Charge.TRACING, D("65.00"))]
    minimum = Price(Charge.MINIMUM, D(120), LUMP)
    for to_come in (Work(trips=D(1)), Work(searching_h=D("1.25"), trips=D(1))):
        assert option_of(OptionKind.TIMER, to_come, prices(trip, minimum)).lines == ()


@pytest.mark.parametrize(
    ("least", "added"), [("64.99", None), ("65", None), ("65.01", "0.01"), ("130", "65.00")]
)
def test_labour_below_the_minimum_of_a_visit_is_charged_up_to_it(
    least: str, added: str | None
) -> None:
    minimum, trip = Price(Charge.MINIMUM, D(least), LUMP), Price(Charge.TRIP, D(30), LUMP)
    work = Work(searching_h=D(1), trips=D(1))
    option = option_of(OptionKind.SEARCH, work, prices(minimum, trip))
    assert dict(said(option)).get(Charge.MINIMUM) == (None if added is None else D(added))
    assert option.net == max(D(65), D(least)) + 30


@pytest.mark.parametrize(
    ("kind", "work", "lacks"),
    [
        (OptionKind.SEARCH, Work(helper_h=D(1)), Charge.HELPER),
        (OptionKind.SEARCH, Work(overtime_h=D(1)), Charge.OVERTIME),
        (OptionKind.SEARCH, Work(searching_h=D(1), trips=D(1)), Charge.TRIP),
        (OptionKind.MACHINE, Work(machine_h=D(1)), Charge.MACHINE),
        (OptionKind.WE_DIG, Work(materials={"splice": D(1)}), Charge.MATERIAL),
    ],
)
def test_what_has_no_price_is_not_given_for_nothing(
    kind: OptionKind, work: Work, lacks: Charge
) -> None:
    with pytest.raises(Unpriced) as refusal:
        option_of(kind, work, prices())
    assert refusal.value.charge is lacks


def test_without_any_rate_even_digging_has_none() -> None:
    with pytest.raises(Unpriced, match="digging"):
        option_of(OptionKind.WE_DIG, Work(mending_h=D(1)), Prices("USD"))


@pytest.mark.parametrize(
    ("percent", "expected"),
    [
        (None, Total(D("320.42"), None, D("320.42"))),
        ("0", Total(D("320.42"), D("0.00"), D("320.42"))),
        ("8.25", Total(D("320.42"), D("26.43"), D("346.85"))),
    ],
)
def test_tax_is_added_once_on_the_whole(percent: str | None, expected: Total) -> None:
    assert total_of(D("320.42"), None if percent is None else D(percent)) == expected


def test_every_kind_is_offered_for_a_search_or_a_dig() -> None:
    assert set(FOR_A_SEARCH) | set(FOR_A_DIG) == set(OptionKind)
    assert set(FOR_A_DIG) > OPENS_GROUND
    assert OptionKind.OTHER_WIRE not in OPENS_GROUND


HOURS = st.decimals(min_value=0, max_value=40, places=6)
ALL = [
    Price(charge, D(n + 7), HOUR) for n, charge in enumerate(Charge) if charge.value != "material"
]


@given(st.lists(HOURS, min_size=12, max_size=12), st.sampled_from(list(OptionKind)))
def test_an_option_is_the_sum_of_its_printed_lines_and_more_work_never_costs_less(
    hours: Sequence[Decimal], kind: OptionKind
) -> None:
    names = [name for name in Work.__dataclass_fields__ if name.endswith("_h")]
    work = Work(**dict(zip(names, hours, strict=False)))
    held = nearest([Sheet(Scope.COMPANY, "USD", None, tuple(ALL))])
    option = option_of(kind, work, held)
    assert option.net == sum((line.amount for line in option.lines), D(0))
    is_timer = kind is OptionKind.TIMER
    more = {"so_far_h": work.so_far_h + 1} if is_timer else {"searching_h": work.searching_h + 1}
    longer = replace(work, **more)
    assert option_of(kind, longer, held).net >= option.net
    assert option_of(kind, longer, held).hours == option.hours + 1
