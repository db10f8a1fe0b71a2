"""How pages of decisions write payback and numbers of an address."""

from django import template

from reports.decisions.services.words import payback_words

register = template.Library()
register.filter("payback", payback_words)


@register.filter
def plain_number(value: float) -> str:
    """Write a number for an address: without the reader's own separators."""
    return f"{value:.2f}".rstrip("0").rstrip(".")
