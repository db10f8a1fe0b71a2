"""Which prices hold at a property on a day."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from django.db.models import Q

from faults.models import PriceList
from faults.prices.engines.pricing import Charge, Price, Prices, Scope, Sheet, nearest
from sites.models import Property, Tariff


def prices_at(place: Property, day: date) -> Prices:
    """Return what is charged at a property on a day.

    The property's tariff knows the hour of our people and of standing by; a price list of the
    property itself goes before it, those of its client and of the company after it.
    """
    lists = PriceList.objects.on(day).filter(_about(place)).prefetch_related("items")
    sheets = [sheet_of(one) for one in lists.order_by("-from_on", "-pk")]
    tariffs = Tariff.objects.on(day).filter(property=place).order_by("-from_on", "-pk")[:1]
    return nearest([*sheets, *(_of_tariff(one) for one in tariffs)])


def currency_at(place: Property, day: date) -> str:
    """Return the currency of a property's prices, or nothing where no list says it."""
    return prices_at(place, day).currency


def lists_about(place: Property) -> list[PriceList]:
    """Return the lists that bear on a property, the nearest and newest first."""
    rows = PriceList.objects.filter(_about(place)).select_related("client", "property")
    order = list(Scope)
    found = rows.prefetch_related("items").order_by("-from_on", "-pk")
    return sorted(
        (one for one in found if one.from_on != one.to_on),
        key=lambda one: order.index(scope_of(one)),
    )


def scope_of(one: PriceList) -> Scope:
    """Return whose list it is."""
    if one.property_id is not None:
        return Scope.PROPERTY
    return Scope.CLIENT if one.client_id is not None else Scope.COMPANY


def sheet_of(one: PriceList) -> Sheet:
    """Return a list for the engine."""
    items: Iterable[Price] = (item.as_price for item in one.items.all())
    tax = None if one.tax_percent is None else Decimal(one.tax_percent)
    return Sheet(scope_of(one), one.currency, tax, tuple(items))


def _about(place: Property) -> Q:
    company = Q(client__isnull=True, property__isnull=True)
    return company | Q(client=place.client_id) | Q(property=place)


def _of_tariff(tariff: Tariff) -> Sheet:
    rates = {
        Charge.TRACING: tariff.labour_rate,
        Charge.DIGGING: tariff.labour_rate,
        Charge.STANDBY: tariff.standby_rate,
    }
    known = (Price(charge, Decimal(rate)) for charge, rate in rates.items() if rate is not None)
    return Sheet(Scope.TARIFF, "", None, tuple(known))
