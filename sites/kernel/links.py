"""Addresses of pages: those that a reference names, and those that a request asks to be led to."""

from functools import cache

from django.http import HttpRequest
from django.urls import NoReverseMatch, get_script_prefix, get_urlconf, reverse
from django.utils.http import url_has_allowed_host_and_scheme

from sites.models.base import REF_ALPHABET, REF_LENGTH

_SAMPLE = REF_ALPHABET[0] * REF_LENGTH


def page_of(name: str, ref: str) -> str:
    """Return the address of the page of this name whose one argument is a row's reference.

    Raises:
        NoReverseMatch: there is no such page, or the reference is empty.
    """
    if not ref:
        raise NoReverseMatch(f"Expected the reference of a row for {name}, got {ref!r}")
    before, after = _around(name, get_script_prefix(), get_urlconf())
    return f"{before}{ref}{after}"


def is_ours(request: HttpRequest, address: str) -> bool:
    """Return whether a browser may be led to this address: a whole one, of this very site.

    A word without a slash is none: `redirect` would take it for the name of a page.
    """
    return address.startswith(("/", "http://", "https://")) and url_has_allowed_host_and_scheme(
        address, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )


@cache
def _around(name: str, prefix: str, urlconf: str | None) -> tuple[str, str]:
    """Return what stands before and after the reference, worked out once for each page."""
    before, found, after = reverse(name, urlconf, args=[_SAMPLE]).rpartition(_SAMPLE)
    assert found
    return before, after
