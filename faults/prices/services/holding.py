"""Which prices hold at a property on a day."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Self

from django.db.models import Q

from faults.models import PriceList
from faults.prices.engines.pricing import Charge, Price, Prices, Scope, Sheet, nearest
from sites.models import Property, Tariff

_COMPANY = Q(client__isnull=True, property__isnull=True)


@dataclass(frozen=True)
class PriceBook:
    """The lists and tariffs that bear on some properties, newest first, read at once."""

    lists: Sequence[PriceList]
    tariffs: Sequence[Tariff]

    @classmethod
    def of(cls, places: Collection[Property]) -> Self:
        """Read what bears on these properties: three queries, whatever their number."""
        if not places:
            return cls([], [])
        about = Q(client__in={place.client_id for place in places}) | Q(
            property__in={place.pk for place in places}
        )
        rows = PriceList.objects.filter(about | _COMPANY).prefetch_related("items")
        tariffs = Tariff.objects.filter(property__in={place.pk for place in places})
        return cls(
            list(rows.order_by("-from_on", "-pk")), list(tariffs.order_by("-from_on", "-pk"))
        )

    @cached_property
    def _lists_about(self) -> dict[tuple[int | None, int | None], list[int]]:
        """Places of lists by client and property: a book of many properties is asked often."""
        found = defaultdict[tuple[int | None, int | None], list[int]](list)
        for at, one in enumerate(self.lists):
            found[one.client_id, one.property_id].append(at)
        return found

    @cached_property
    def _tariffs_of(self) -> dict[int, list[Tariff]]:
        found = defaultdict[int, list[Tariff]](list)
        for one in self.tariffs:
            found[one.property_id].append(one)
        return found

    def at(self, place: Property, day: date) -> Prices:
        """Return what is charged at a property on a day.

        The property's tariff knows the hour of our people and of standing by; a price list of
        the property itself goes before it, those of its client and of the company after it.
        """
        about = {(client, here) for client in (None, place.client_id) for here in (None, place.pk)}
        near = sorted(at for each in about for at in self._lists_about.get(each, ()))
        lists = [self.lists[at] for at in near if _holds(self.lists[at], day)]
        own = self._tariffs_of.get(place.pk, ())
        tariffs = [one for one in own if _holds(one, day)]
        return nearest([*map(sheet_of, lists), *map(_of_tariff, tariffs[:1])])


def prices_at(place: Property, day: date) -> Prices:
    """Return what is charged at one property on a day."""
    return PriceBook.of([place]).at(place, day)


def currency_at(place: Property, day: date) -> str:
    """Return the currency of a property's prices, or nothing where no list says it."""
    lists = PriceList.objects.on(day).filter(_about(place))
    return nearest(Sheet(scope_of(one), one.currency, None, ()) for one in lists).currency


def currencies_of(clients: Mapping[int, int], day: date) -> dict[int, str]:
    """Return the currency of the prices of properties, by their keys; "" where no list says it.

    Args:
        clients: the key of each property's client by its own.
    """
    scopes: dict[tuple[int | None, int | None], Sheet] = {}
    for one in PriceList.objects.on(day).order_by("pk"):
        scopes[one.client_id, one.property_id] = Sheet(scope_of(one), one.currency, None, ())
    keys = {key: ((None, None), (client, None), (None, key)) for key, client in clients.items()}
    return {
        key: nearest(scopes[each] for each in about if each in scopes).currency
        for key, about in keys.items()
    }


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
    return _COMPANY | Q(client=place.client_id) | Q(property=place)


def _holds(one: PriceList | Tariff, day: date) -> bool:
    starts = one.from_on is None or one.from_on <= day
    return starts and (one.to_on is None or day < one.to_on)


def _of_tariff(tariff: Tariff) -> Sheet:
    rates = {
        Charge.TRACING: tariff.labour_rate,
        Charge.DIGGING: tariff.labour_rate,
        Charge.STANDBY: tariff.standby_rate,
    }
    known = (Price(charge, Decimal(rate)) for charge, rate in rates.items() if rate is not None)
    return Sheet(Scope.TARIFF, "", None, tuple(known))
