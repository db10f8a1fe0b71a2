"""How often one signed-in person may ask: far above what hands can do, far below what hurts.

A stolen sign-in then carries the register out slowly, and a script that runs wild fills nothing.
Programs that come with a token are counted at their own door, and phones by what they send.
"""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase

from sites.kernel.views.errors import too_many
from sites.kernel.views.limits import wait_for
from sites.models import User
from sites.people.views.tokens import API_ADDRESS

# Ours, no source: a page with sixty photos, opened ten times in a minute, is within them.
PAGES, CHANGES, FILES = "900/minute", "240/minute", "30/minute"
WHOLE_REGISTER = "/export/"
READS = ("GET", "HEAD", "OPTIONS")


class OftenMiddleware:
    """Answer 429 to who asks for more pages, changes or files in a minute than anybody needs."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        user = request.user
        if isinstance(user, User) and not request.path_info.startswith(API_ADDRESS):
            for rate, name in _counted_as(request):
                if wait_s := wait_for(rate, name, f"user-{user.pk}"):
                    return too_many(request, wait_s=wait_s)
        return self.get_response(request)


def _counted_as(request: HttpRequest) -> list[tuple[str, str]]:
    if request.method not in READS:
        return [(CHANGES, "changes")]
    pages = [(PAGES, "pages")]
    is_file = "export" in request.GET or request.path_info.startswith(WHOLE_REGISTER)
    return [(FILES, "files"), *pages] if is_file else pages
