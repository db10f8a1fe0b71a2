"""Make price lists, with defaults that hold; name only what the test is about."""

from datetime import date
from decimal import Decimal
from typing import Any

from faults.models import PriceItem, PriceList
from faults.prices.engines.pricing import HOUR, LUMP, WHOLE, Charge

# Made-up rates: those of tracing and of standing by are of the worked example of a quote.
RATES = {Charge.TRACING: 65, Charge.DIGGING: 65, Charge.STANDBY: 45, Charge.TRIP: 30}


def price_list(rates: dict[Charge, Any] | None = None, **given: Any) -> PriceList:
    """Make a list of the company with these rates, in USD, since the start of the year."""
    made = PriceList.objects.create(**{"from_on": date(2025, 1, 1), "currency": "USD", **given})
    for charge, price in (RATES if rates is None else rates).items():
        unit = LUMP if charge in WHOLE else HOUR
        PriceItem.objects.create(list=made, charge=charge.value, unit=unit, price=Decimal(price))
    return made


def material(of: PriceList, name: str, price: str, unit: str = "each") -> PriceItem:
    """Add a material to a list."""
    return PriceItem.objects.create(
        list=of, charge=Charge.MATERIAL.value, name=name, unit=unit, price=Decimal(price)
    )
