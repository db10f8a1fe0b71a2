"""The secret that a program brings with a request, in the place that RFC 6750 gives it."""

import secrets

from django.http import HttpRequest


def bearer_of(request: HttpRequest) -> str:
    """Return what follows "Bearer" in the header Authorization; empty where there is none."""
    scheme, _space, secret = request.headers.get("Authorization", "").partition(" ")
    return secret.strip() if scheme.casefold() == "bearer" else ""


def is_same(brought: str, expected: str) -> bool:
    """Return whether they are the same, in a time that says nothing of where they differ."""
    return secrets.compare_digest(brought.encode(), expected.encode())
