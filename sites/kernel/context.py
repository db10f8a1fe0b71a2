"""What every page needs: which actions the user has anywhere, and whether this is the demo."""

from django.conf import settings
from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from sites.kernel.access import actions_anywhere, is_client_only
from sites.kernel.services.wayfinding import Ways


def sheet(request: HttpRequest) -> dict[str, object]:
    """Return the frame's context; error pages may be rendered before the user is known."""
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return {"is_demo": settings.DEMO, "may": {}}
    return {
        "is_demo": settings.DEMO,
        "is_client_only": is_client_only(user),
        "ways": SimpleLazyObject(lambda: Ways(user, request.path)),
        "may": {a.name.lower(): True for a in actions_anywhere(user)},
    }
