"""Sums of what is charged, each currency by itself."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext


@dataclass(frozen=True)
class Sums:
    """Money by currency ("" = not known), and how many lines have no price."""

    money: Mapping[str, Decimal]
    not_priced: int = 0

    @property
    def words(self) -> list[str]:
        """The sums as they read, and what they leave out."""
        found = [in_currency(amount, currency) for currency, amount in self.money.items()]
        if self.not_priced:
            words = ngettext(
                "%s line has no price and adds nothing.",
                "%s lines have no price and add nothing.",
                self.not_priced,
            )
            found.append(words % self.not_priced)
        return found


def sums_of(charges: Iterable[tuple[str, Decimal | None]]) -> Sums:
    """Return the sums of (currency, money) pairs: currencies by name, the unknown one last."""
    money: dict[str, Decimal] = {}
    not_priced = 0
    for currency, amount in charges:
        if amount is None:
            not_priced += 1
            continue
        money[currency] = money.get(currency, Decimal("0.00")) + amount
    return Sums({one: money[one] for one in sorted(money, key=lambda c: (not c, c))}, not_priced)


def in_currency(amount: Decimal, currency: str) -> str:
    """Return money to the cent with its currency, or that the currency is not known."""
    word = currency or _("(currency not known)")
    return f"{amount:,.2f} {word}"
