"""Show each user their own language and time zone."""

import zoneinfo
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import timezone, translation


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
            return self.get_response(request)
