"""Rate limits: how often one address or one user may ask before it has to wait."""

from collections.abc import Callable
from functools import cache, wraps
from typing import Concatenate, ParamSpec, cast

from django.conf import settings
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from limits import RateLimitItem, parse
from limits.storage import Storage, storage_from_string
from limits.strategies import SlidingWindowCounterRateLimiter

from sites.kernel.lazily import lazily
from sites.kernel.views.errors import too_many

redis = lazily("redis")

P = ParamSpec("P")
ANSWER_WITHIN_S = 1
View = Callable[Concatenate[HttpRequest, P], HttpResponseBase]


@cache
def _storage() -> Storage:
    """One count for all processes where Redis is set, else one per process."""
    if not settings.REDIS_URL:
        return cast(Storage, storage_from_string("memory://"))
    waits = {"socket_connect_timeout": ANSWER_WITHIN_S, "socket_timeout": ANSWER_WITHIN_S}
    return cast(Storage, storage_from_string(settings.REDIS_URL, **waits))


def reset_limits() -> None:
    """Forget all counts; tests begin with none."""
    _storage().reset()


def limited(
    name: str, rate: str, *, methods: tuple[str, ...] = ("POST",)
) -> Callable[[View[P]], View[P]]:
    """Rate limit: answer 429 to requests above `rate`, such as "20/minute".

    Counted by user where one is signed in, else by the IP address that the server sees.
    """
    item = parse(rate)

    def decorate(view: View[P]) -> View[P]:
        @wraps(view)
        def guarded(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
            if request.method in methods and not _hit(item, name, _who(request)):
                return too_many(request, wait_s=int(item.get_expiry()))
            return view(request, *args, **kwargs)

        return cast("View[P]", guarded)

    return decorate


def wait_for(rate: str, name: str, who: str) -> int:
    """Count one more request; return 0, or the seconds to wait where it is above `rate`."""
    item = parse(rate)
    return 0 if _hit(item, name, who) else int(item.get_expiry())


def _hit(item: RateLimitItem, name: str, who: str) -> bool:
    """While Redis cannot be reached nobody is counted: people must still get in."""
    try:
        return SlidingWindowCounterRateLimiter(_storage()).hit(item, name, who)
    except (redis.RedisError, OSError):
        return True


def _who(request: HttpRequest) -> str:
    if request.user.is_authenticated:
        return f"user-{request.user.pk}"
    return f"address-{request.META.get('REMOTE_ADDR', '')}"
