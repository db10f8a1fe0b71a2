"""What each option of a quote comes to: its lines, its hours, its money.

Hours of one charge stand on one line, kept to a millionth of an hour; money is rounded half up
once, at the end of a line.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum

from faults.prices.engines.pricing import (
    LUMP,
    Charge,
    Price,
    Prices,
    amount_of,
    sum_of,
    tax_on,
)

NOTHING = Decimal(0)
MILLIONTH = Decimal("0.000001")


class OptionKind(StrEnum):
    """What the client can choose."""

    SEARCH = "search"
    WE_DIG = "we dig"
    YOU_DIG = "you dig"
    MACHINE = "machine"
    OTHER_WIRE = "other wire"
    TIMER = "timer"


# The options of a quote for a search, and of one for what was found.
FOR_A_SEARCH = (OptionKind.SEARCH, OptionKind.TIMER)
FOR_A_DIG = tuple(kind for kind in OptionKind if kind is not OptionKind.SEARCH)
# Ground is opened, by us or by others.
OPENS_GROUND = frozenset({OptionKind.WE_DIG, OptionKind.YOU_DIG, OptionKind.MACHINE})


class Unpriced(ValueError):
    """No price is known for something that takes time or is used."""

    def __init__(self, charge: Charge, name: str = "") -> None:
        super().__init__(f"Expected a price for {name or charge}, got none")
        self.charge, self.name = charge, name


@dataclass(frozen=True, slots=True)
class Work:
    """What the job takes, in man-hours, trips and materials by name; 0 = none of it.

    `waiting_h` is standing by beside our own dig, `beside_them_h` beside the client's.
    `searching_h` is what options of work are priced with; `so_far_h` is how much of it is done.
    """

    searching_h: Decimal = NOTHING
    so_far_h: Decimal = NOTHING
    travel_h: Decimal = NOTHING
    digging_h: Decimal = NOTHING
    filling_h: Decimal = NOTHING
    mending_h: Decimal = NOTHING
    helper_h: Decimal = NOTHING
    overtime_h: Decimal = NOTHING
    waiting_h: Decimal = NOTHING
    beside_them_h: Decimal = NOTHING
    machine_h: Decimal = NOTHING
    other_wire_h: Decimal = NOTHING
    trips: Decimal = NOTHING
    materials: Mapping[str, Decimal] = field(default_factory=dict)
    wire_materials: Mapping[str, Decimal] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Line:
    """A quantity at a price."""

    price: Price
    quantity: Decimal

    @property
    def amount(self) -> Decimal:
        """The money of the line."""
        return amount_of(self.quantity, self.price.price)


@dataclass(frozen=True, slots=True)
class Option:
    """One option. `hours` are man-hours of ours; a machine's operator counts as one."""

    kind: OptionKind
    lines: tuple[Line, ...]
    hours: Decimal

    @property
    def net(self) -> Decimal:
        """The sum of the lines as they are printed."""
        return sum_of([line.amount for line in self.lines])


@dataclass(frozen=True, slots=True)
class Total:
    """Net, tax and the sum of both; without a tax rate the sum is the net."""

    net: Decimal
    tax: Decimal | None
    gross: Decimal


def total_of(net: Decimal, tax_percent: Decimal | None) -> Total:
    """Return what the client pays, tax rounded once on the whole."""
    tax = tax_on(net, tax_percent)
    return Total(net, tax, net + (tax or NOTHING))


def option_of(kind: OptionKind, work: Work, prices: Prices) -> Option:
    """Return an option with its lines.

    Raises:
        Unpriced: something of it has no price.
    """
    hours = _hours(kind, work)
    lines = [_line(charge, amount, prices) for charge, amount in hours.items() if amount]
    labour = sum_of([line.amount for line in lines])
    lines += _to_the_minimum(labour, prices) if lines else []
    if kind is not OptionKind.TIMER and work.trips:
        lines.append(_line(Charge.TRIP, work.trips, prices))
    lines += [_material(name, number, prices) for name, number in _used(kind, work)]
    return Option(kind, tuple(lines), sum(hours.values(), NOTHING))


def _hours(kind: OptionKind, work: Work) -> dict[Charge, Decimal]:
    """The man-hours of each charge. Where nothing is done, only what is done already counts."""
    if kind is OptionKind.TIMER:
        return {Charge.TRACING: work.so_far_h}
    found = {Charge.TRACING: work.searching_h + work.travel_h}
    if kind is OptionKind.SEARCH:
        return {**found, Charge.HELPER: work.helper_h, Charge.OVERTIME: work.overtime_h}
    if kind is OptionKind.OTHER_WIRE:
        found[Charge.TRACING] += work.other_wire_h
        return found
    found[Charge.DIGGING] = work.mending_h
    if kind is OptionKind.YOU_DIG:
        return {**found, Charge.STANDBY: work.beside_them_h}
    if kind is OptionKind.MACHINE:
        return {**found, Charge.MACHINE: work.machine_h, Charge.HELPER: work.helper_h}
    found[Charge.DIGGING] += work.digging_h + work.filling_h
    return {
        **found,
        Charge.HELPER: work.helper_h,
        Charge.OVERTIME: work.overtime_h,
        Charge.STANDBY: work.waiting_h,
    }


def _used(kind: OptionKind, work: Work) -> Iterator[tuple[str, Decimal]]:
    if kind in OPENS_GROUND:
        yield from ((name, number) for name, number in work.materials.items() if number)
    if kind is OptionKind.OTHER_WIRE:
        yield from ((name, number) for name, number in work.wire_materials.items() if number)


def _line(charge: Charge, quantity: Decimal, prices: Prices) -> Line:
    """A lump is charged once, however long it takes; digging without a price is our hour."""
    price = prices.of(charge)
    if price is None and charge is Charge.DIGGING:
        ours = prices.of(Charge.TRACING)
        price = replace(ours, charge=charge) if ours else None
    if price is None:
        raise Unpriced(charge)
    is_lump = price.unit == LUMP and charge is not Charge.TRIP
    return Line(price, Decimal(1) if is_lump else _kept(quantity))


def _to_the_minimum(labour: Decimal, prices: Prices) -> Sequence[Line]:
    least = prices.of(Charge.MINIMUM)
    if least is None or labour >= least.price:
        return []
    return [Line(Price(Charge.MINIMUM, least.price - labour, LUMP), Decimal(1))]


def _material(name: str, number: Decimal, prices: Prices) -> Line:
    price = prices.of(Charge.MATERIAL, name)
    if price is None:
        raise Unpriced(Charge.MATERIAL, name)
    return Line(price, _kept(number))


def _kept(quantity: Decimal) -> Decimal:
    return quantity.quantize(MILLIONTH, ROUND_HALF_UP)
