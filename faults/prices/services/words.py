"""Prices in words: of what holds, and of one list."""

from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from faults.models import CHARGE_CHOICES, PriceList
from faults.prices.engines.pricing import HOUR, LUMP, WHOLE, Charge, Price, Prices, Scope

CHARGE_WORDS = dict(CHARGE_CHOICES)
SCOPE_WORDS = {
    Scope.PROPERTY: gettext_lazy("this property"),
    Scope.TARIFF: gettext_lazy("this property's tariff"),
    Scope.CLIENT: gettext_lazy("its client"),
    Scope.COMPANY: gettext_lazy("the company"),
}


@dataclass(frozen=True)
class PriceLine:
    """One price as it reads."""

    what: str
    price: Decimal
    per: str
    of: str = ""


def lines_of(prices: Prices) -> list[PriceLine]:
    """Return what holds: charges in their order, then materials by name, and whose price it is."""
    order = list(Charge)
    held = sorted(prices.held.values(), key=lambda one: (order.index(one[0].charge), one[0].name))
    return [
        PriceLine(what_words(one), one.price, per_words(one), str(SCOPE_WORDS[scope]))
        for one, scope in held
    ]


def lines_of_list(one: PriceList) -> list[PriceLine]:
    """Return what one list says, in the same order."""
    order = list(Charge)
    said = sorted(
        (item.as_price for item in one.items.all()), key=lambda p: (order.index(p.charge), p.name)
    )
    return [PriceLine(what_words(each), each.price, per_words(each)) for each in said]


def what_words(price: Price) -> str:
    """Return what a price is for."""
    return price.name or str(CHARGE_WORDS[price.charge.value])


def per_words(price: Price) -> str:
    """Return for how much it is."""
    if price.charge in WHOLE:
        return _("each")
    return {HOUR: _("hour"), LUMP: _("all of it")}.get(price.unit, price.unit)
