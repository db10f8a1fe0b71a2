"""Verbs on price lists: changed from a day, was wrong, and taken back."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from faults.models import CURRENCY, PriceItem, PriceList
from faults.prices.engines.pricing import Price
from sites.kernel.engines.roles import Action
from sites.kernel.services.audit import note
from sites.kernel.services.verb_days import save_because, was_wrong
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Client, Event, Property, User


class UnableToPrice(UnableToAct):
    """A price list that cannot be kept so."""


@dataclass(frozen=True)
class PriceScope:
    """Whose list it is; of neither = the company's."""

    client: Client | None = None
    property: Property | None = None


@dataclass(frozen=True)
class PriceFacts:
    """All that a list says."""

    currency: str
    tax_percent: Decimal | None
    prices: Sequence[Price]


def lists_of(scope: PriceScope) -> QuerySet[PriceList]:
    """Return all lists of a scope, the newest first."""
    rows = PriceList.objects.filter(client=scope.client, property=scope.property)
    return rows.prefetch_related("items").order_by("-from_on", "-pk")


def open_list(scope: PriceScope) -> PriceList | None:
    """Return the list of a scope that has not ended."""
    return lists_of(scope).open().first()  # type: ignore[attr-defined, no-any-return]


@verb(
    name="change prices from a day",
    action=Action.SET_AUTHORITY,
    guard="a currency; at least one price; a day later than the first day of what holds; something "
    "is different",
    undo="take back a change of prices",
)
def change_prices(*, scope: PriceScope, facts: PriceFacts, on: date, by: User) -> PriceList:
    """Let other prices hold from a day on, which may lie ahead. What was quoted stays as it is."""
    _refuse(facts)
    current = open_list(scope)
    if current is not None and on <= current.from_on:
        raise UnableToPrice(
            _("The newest list holds from %s. Give a later day, or put that list right.")
            % current.from_on.isoformat(),
            field="on",
        )
    if current is not None and _says(current) == facts_said(facts):
        raise UnableToPrice(_("Nothing is different: change a price first."))
    if current is not None:
        current.to_on = on
        current.save()
    made = PriceList.objects.create(
        client=scope.client,
        property=scope.property,
        from_on=on,
        currency=facts.currency,
        tax_percent=facts.tax_percent,
        entered_by=by,
    )
    _keep_items(made, facts.prices)
    note(Event.PRICES, by=by, about=_of_whom(made), detail=f"from {on.isoformat()}")
    return made


@verb(
    name="correct a price list",
    action=Action.SET_AUTHORITY,
    guard="what was wrong, in words; a currency; at least one price; something is different",
    undo="correct it again, with the values that its history shows",
)
def correct_prices(*, prices: PriceList, facts: PriceFacts, why: str) -> None:
    """Put a list right for all its days. Quotes and lines that used it keep what they say."""
    reason = was_wrong(why)
    _refuse(facts)
    if _says(prices) == facts_said(facts):
        raise UnableToPrice(_("Nothing is different: correct a price first."))
    prices.currency, prices.tax_percent = facts.currency, facts.tax_percent
    save_because(prices, reason)
    _keep_items(prices, facts.prices)
    note(Event.PRICES, about=_of_whom(prices), detail=f"corrected: {reason}")


@verb(
    name="take back a change of prices",
    action=Action.SET_AUTHORITY,
    guard="what was wrong, in words; it is the newest list",
    undo="change the prices from the same day again",
)
def take_back_prices(*, prices: PriceList, why: str) -> None:
    """Let a list hold on no day, and the one before it again."""
    reason = was_wrong(why)
    if prices.to_on is not None:
        raise UnableToPrice(_("A newer list follows this one. Take that one back first."))
    rows = lists_of(PriceScope(prices.client, prices.property)).filter(to_on=prices.from_on)
    before = next((one for one in rows if one.from_on != one.to_on), None)
    prices.to_on = prices.from_on
    save_because(prices, reason)
    if before is not None:
        before.to_on = None
        save_because(before, reason)
    note(Event.PRICES, about=_of_whom(prices), detail=f"taken back: {reason}")


def facts_said(facts: PriceFacts) -> tuple[object, ...]:
    """Return what a list says, for comparing."""
    return facts.currency, facts.tax_percent, frozenset(facts.prices)


def _of_whom(one: PriceList) -> str:
    return str(one.property or one.client or "the company")


def _says(one: PriceList) -> tuple[object, ...]:
    return one.currency, one.tax_percent, frozenset(item.as_price for item in one.items.all())


def _refuse(facts: PriceFacts) -> None:
    if not CURRENCY.regex.match(facts.currency):  # type: ignore[union-attr]
        raise UnableToPrice(
            _("In which currency? Three capital letters, such as USD."), field="currency"
        )
    if not facts.prices:
        raise UnableToPrice(_("Enter at least one price."))
    keys = [(one.charge, one.name) for one in facts.prices]
    twice = next((key for key in keys if keys.count(key) > 1), None)
    if twice is not None:
        raise UnableToPrice(_("“%s” stands here twice. Keep one of the two.") % twice[1])


def _keep_items(prices: PriceList, wanted: Sequence[Price]) -> None:
    known = {(item.charge, item.name): item for item in prices.items.all()}
    for each in wanted:
        item = known.pop((each.charge.value, each.name), None)
        item = item or PriceItem(list=prices, charge=each.charge.value, name=each.name)
        if (item.unit, item.price) != (each.unit, each.price) or item.pk is None:
            item.unit, item.price = each.unit, each.price
            item.save()
    for gone in known.values():
        gone.delete()
