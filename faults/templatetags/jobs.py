"""How quantities, prices and hours of jobs read on a page."""

from decimal import Decimal

from django import template

register = template.Library()


@register.filter
def plain_number(value: Decimal) -> str:
    """Write a quantity without the noughts that say nothing."""
    return f"{value.normalize():f}"


@register.filter
def unit_price(value: Decimal | None) -> str:
    """Write a price per unit: two places, and more only where there are some."""
    if value is None:
        return ""
    exponent = value.normalize().as_tuple().exponent
    places = max(2, -exponent) if isinstance(exponent, int) else 2
    return f"{value:,.{places}f}"


@register.filter
def money(value: Decimal) -> str:
    """Write money to the cent."""
    return f"{value:,.2f}"


@register.filter
def money_in(value: Decimal, currency: str) -> str:
    """Write money to the cent with its currency, where one is known."""
    return f"{value:,.2f} {currency}".rstrip()


@register.filter
def hours(value: float) -> str:
    """Write hours to a tenth, or to a hundredth below one."""
    return f"{value:.2f}" if value < 1 else f"{value:.1f}"
