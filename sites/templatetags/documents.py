"""How a document stands on a page."""

from django import template
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from sites.documents.engines.document import Block, Drawing

register = template.Library()


@register.filter
def block_kind(block: Block) -> str:
    """Name the kind of a block, by which the template writes it."""
    return type(block).__name__.lower()


@register.simple_tag
def drawing(block: Drawing) -> SafeString:
    """Draw the SVG: our own code wrote it, with what people typed escaped."""
    return mark_safe(block.svg)


@register.simple_tag
def photo_address(named: tuple[str, tuple[str, ...]], ref: str) -> str:
    """Return where the page shows a photo: `named` is its address, with what comes before `ref`."""
    name, arguments = named
    return reverse(name, args=[*arguments, ref])
