"""Tokens on the pages: made, shown this one time, revoked."""

import pytest
from django.test import Client

from sites.kernel.engines.roles import Role
from sites.models import ApiToken, User
from tests import make
from tests.make_tokens import ask, newest, token
from tests.web.pages import open_page, signed_in

pytestmark = pytest.mark.django_db
MAKE = "/account/tokens/make/"


def browser_of(user: User) -> Client:
    return signed_in(user)


def test_a_token_is_made_shown_once_and_works() -> None:
    place = make.place(code="ELM")
    other = make.place(code="OAK")
    browser = browser_of(make.user(Role.OWNER))
    chosen = {"name": "nightly list", "scopes": ["read"], "days": "30", "place": place.pk}
    answer = browser.post(MAKE, chosen)
    assert answer.headers["Cache-Control"] == "no-store"
    secret = answer.content.decode().split('id="secret"')[1].split('value="')[1].split('"')[0]
    rows = ask(secret, "/register/properties").json()["items"]
    assert [row["code"] for row in rows] == [place.code]
    assert other.code not in str(rows)
    listed = browser.get("/account/tokens/").content.decode()
    assert "nightly list" in listed
    assert secret not in listed


def test_what_was_typed_is_kept_where_it_is_refused() -> None:
    browser = browser_of(make.user(Role.OWNER))
    answer = browser.post(MAKE, {"name": "nightly list", "days": "30"})
    assert answer.status_code == 422
    assert 'value="nightly list"' in answer.content.decode()
    assert ApiToken.objects.count() == 0


def test_a_token_is_revoked_by_its_owner_and_by_no_other_dispatcher() -> None:
    user, other = make.user(Role.DISPATCHER), make.user(Role.DISPATCHER)
    secret = token(user)
    address = f"/account/tokens/{newest().pk}/revoke/"
    assert browser_of(other).post(address).status_code == 404
    assert browser_of(user).post(address).status_code == 302
    assert ask(secret, "/me").status_code == 401
    assert browser_of(user).post(address).status_code == 422
    assert "revoked on" in browser_of(user).get("/account/tokens/").content.decode()


def test_the_guide_lists_every_operation() -> None:
    words = open_page(make.user(Role.CLIENT, client=make.client()), "/programs/").words
    for path in ("GET /api/v1/off-central", "POST /api/v1/readings", "GET /api/v1/changes"):
        assert path in words
