"""The views that a user keeps of the list that is open."""

from typing import Any

from django import template

from sites.models import SavedView

register = template.Library()


@register.simple_tag(takes_context=True)
def kept_views(context: dict[str, Any]) -> list[SavedView]:
    """Return the user's own views of this page, by name."""
    request = context["request"]
    return list(request.user.saved_views.filter(path=request.path).order_by("name", "pk"))
