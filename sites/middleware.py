"""Show each user their own language and time zone."""

import zoneinfo
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import timezone, translation
from django.utils.cache import patch_cache_control


class LocalMiddleware:
    """Switch to the signed-in user's time zone and language for one request."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        user = request.user
        if not user.is_authenticated:
            return self.get_response(request)
        with (
            translation.override(user.language),
            timezone.override(zoneinfo.ZoneInfo(user.time_zone)),
        ):
            return _kept_private(self.get_response(request))


def _kept_private(response: HttpResponse) -> HttpResponse:
    """Let no cache on the way store a user's page, and the browser ask before it shows it again."""
    if not response.has_header("Cache-Control"):
        patch_cache_control(response, private=True, no_cache=True)
    return response


class ReadableQuery:
    """Drop NUL from the query of an address: no text holds one, and PostgreSQL refuses it."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        query = request.META.get("QUERY_STRING", "")
        if "%00" in query or "\x00" in query:
            request.META["QUERY_STRING"] = query.replace("%00", "").replace("\x00", "")
        return self.get_response(request)
