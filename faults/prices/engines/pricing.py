"""Which price holds where several lists name one: the nearest, in one currency. And money."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum

CENT = Decimal("0.01")
HOUR = "h"
LUMP = "lump"


class Charge(StrEnum):
    """What is charged."""

    TRACING = "tracing"
    DIGGING = "digging"
    MACHINE = "machine"
    HELPER = "helper"
    STANDBY = "standby"
    OVERTIME = "overtime"
    MINIMUM = "minimum"
    TRIP = "trip"
    MATERIAL = "material"


class Scope(StrEnum):
    """Where a price comes from, the nearest first."""

    PROPERTY = "property"
    TARIFF = "tariff"
    CLIENT = "client"
    COMPANY = "company"


# The charges that have one price each; materials have a name and a unit of their own.
PLAIN_CHARGES = tuple(charge for charge in Charge if charge is not Charge.MATERIAL)
# What people do by the hour; the hour of a machine has its operator in it.
LABOUR = (
    Charge.TRACING,
    Charge.DIGGING,
    Charge.MACHINE,
    Charge.HELPER,
    Charge.STANDBY,
    Charge.OVERTIME,
)
# A visit and a trip are charged whole.
WHOLE = frozenset({Charge.MINIMUM, Charge.TRIP})


@dataclass(frozen=True, slots=True)
class Price:
    """Money for one unit of a charge: an hour (`HOUR`), all of it (`LUMP`), or a material's unit.

    Raises:
        ValueError: the price is below 0 or no number; a material without a name or unit.
    """

    charge: Charge
    price: Decimal
    unit: str = HOUR
    name: str = ""

    def __post_init__(self) -> None:
        if not self.price.is_finite() or self.price < 0:
            raise ValueError(f"Expected price >= 0, got {self.price}")
        if (self.charge is Charge.MATERIAL) != bool(self.name) or not self.unit:
            raise ValueError(f"Expected a name for a material only, and a unit, got {self}")


@dataclass(frozen=True, slots=True)
class Sheet:
    """The prices of one list on one day. Without a currency it is in that of the others."""

    scope: Scope
    currency: str
    tax_percent: Decimal | None
    prices: tuple[Price, ...]


@dataclass(frozen=True)
class Prices:
    """What holds at one place on one day; what no list names is not known."""

    currency: str = ""
    tax_percent: Decimal | None = None
    held: Mapping[tuple[Charge, str], tuple[Price, Scope]] = field(default_factory=dict)

    def of(self, charge: Charge, name: str = "") -> Price | None:
        """Return the price of a charge, or None where it is not known."""
        found = self.held.get((charge, name))
        return found[0] if found else None

    def per_hour(self, *charges: Charge) -> Decimal | None:
        """Return the hourly rate of the first of these charges that has one."""
        prices = (self.of(charge) for charge in charges)
        return next((one.price for one in prices if one and one.unit == HOUR), None)

    def labour_rate(self, *, digs: bool = False) -> Decimal | None:
        """Return the price of an hour of our people, on a visit that opens ground or another."""
        both = (Charge.TRACING, Charge.DIGGING)
        return self.per_hour(*(reversed(both) if digs else both))

    def rate_for(self, charge: Charge, *, digs: bool = False) -> Decimal | None:
        """Return the price of an hour of what was done; a helper's is else that of our people."""
        if charge in (Charge.TRACING, Charge.DIGGING):
            return self.labour_rate(digs=charge is Charge.DIGGING)
        own = self.per_hour(charge)
        return self.labour_rate(digs=digs) if own is None and charge is Charge.HELPER else own

    @property
    def materials(self) -> list[Price]:
        """The materials, by name."""
        found = [one for one, _ in self.held.values() if one.charge is Charge.MATERIAL]
        return sorted(found, key=lambda one: one.name)


def nearest(sheets: Iterable[Sheet]) -> Prices:
    """Return the prices that hold: of each charge the nearest list's, all in one currency.

    The nearest list that names a currency sets it. A list in another one adds nothing, because
    money of two currencies has no sum. Tax is that of the nearest list that names one.
    """
    ordered = sorted(sheets, key=lambda sheet: list(Scope).index(sheet.scope))
    currency = next((sheet.currency for sheet in ordered if sheet.currency), "")
    alike = [sheet for sheet in ordered if sheet.currency in ("", currency)]
    held: dict[tuple[Charge, str], tuple[Price, Scope]] = {}
    for sheet in alike:
        for price in sheet.prices:
            held.setdefault((price.charge, price.name), (price, sheet.scope))
    taxes = (sheet.tax_percent for sheet in alike)
    tax = next((percent for percent in taxes if percent is not None), None)
    return Prices(currency, tax, held)


def amount_of(quantity: Decimal, price: Decimal) -> Decimal:
    """Return the money of a line, half a cent upward; the quantity itself is never rounded."""
    return (quantity * price).quantize(CENT, ROUND_HALF_UP)


def sum_of(amounts: Sequence[Decimal]) -> Decimal:
    """Return the sum of amounts as they are printed."""
    return sum(amounts, Decimal("0.00"))


def tax_on(net: Decimal, percent: Decimal | None) -> Decimal | None:
    """Return the tax on an amount, half a cent upward; None where no rate is known."""
    return None if percent is None else (net * percent / 100).quantize(CENT, ROUND_HALF_UP)
