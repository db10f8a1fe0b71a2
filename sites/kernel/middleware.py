"""Whose request it is: its id, the address behind our proxies, each user's language and zone."""

import zoneinfo
from collections.abc import Callable
from contextlib import suppress
from ipaddress import ip_address

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils import timezone, translation
from django.utils.cache import patch_cache_control

from sites.kernel.services.request_ids import known_as, new_request_id


class RequestIdMiddleware:
    """Give each request an id, which the lines of its log carry and the answer says.

    A proxy of ours may have given one, in X-Request-ID; from strangers none is taken.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        given = request.headers.get("X-Request-ID", "") if settings.TRUSTED_PROXIES else ""
        name = new_request_id(given)
        with known_as(name):
            response = self.get_response(request)
        response.headers["X-Request-ID"] = name
        return response


class ProxyMiddleware:
    """Set REMOTE_ADDR to the address that the outermost of our own proxies saw.

    Each proxy adds, on the right of X-Forwarded-For, the address that it was asked from; what
    stands further left was sent from outside and may be invented. A request with fewer or with
    unreadable addresses did not come through all of them: it keeps its own.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        count = settings.TRUSTED_PROXIES
        addresses = request.headers.get("X-Forwarded-For", "").split(",")
        if 0 < count <= len(addresses):
            with suppress(ValueError):
                request.META["REMOTE_ADDR"] = str(ip_address(addresses[-count].strip()))
        return self.get_response(request)


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
