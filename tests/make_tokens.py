"""Make tokens, and ask the API as a program would."""

from datetime import datetime, timedelta
from typing import Any

from django.test import Client
from django.utils import timezone

from sites.models import ApiToken, Scope, User
from sites.people.services.tokens import TokenFacts, make_token

EVERYTHING = tuple(scope.value for scope in Scope)
BROWSER = Client()


def token(user: User, *, scopes: tuple[str, ...] = EVERYTHING, **given: Any) -> str:
    """Make a token that holds now, and return its secret."""
    at: datetime = given.pop("at", None) or timezone.now() - timedelta(hours=2)
    facts = TokenFacts(name="a program", scopes=scopes, days=given.pop("days", 30), **given)
    return make_token(user=user, token=facts, at=at)


def newest() -> ApiToken:
    """Return the token that was made last."""
    return ApiToken.objects.latest("pk")


def key_of(user: User) -> str:
    """Return the key of a token of this user, as it stands in an address."""
    token(user)
    return str(newest().pk)


def ask(secret: str, path: str, query: dict[str, Any] | None = None, **headers: str) -> Any:
    """Get an address below /api/v1."""
    named = {"Authorization": f"Bearer {secret}", **headers}
    return BROWSER.get(f"/api/v1{path}", query or {}, headers=named)


def send(secret: str, path: str, body: Any, **headers: str) -> Any:
    """Post JSON to an address below /api/v1; `key` goes as Idempotency-Key."""
    named = {"Authorization": f"Bearer {secret}"}
    if "key" in headers:
        named["Idempotency-Key"] = headers.pop("key")
    return BROWSER.post(
        f"/api/v1{path}", body, content_type="application/json", headers={**named, **headers}
    )


def all_of(secret: str, path: str, **query: Any) -> list[dict[str, Any]]:
    """Follow the pages of a list to its end."""
    found: list[dict[str, Any]] = []
    cursor = ""
    while True:
        page = ask(secret, path, {**query, "cursor": cursor}).json()
        found += page["items"]
        if page["next"] is None:
            return found
        cursor = page["next"]
