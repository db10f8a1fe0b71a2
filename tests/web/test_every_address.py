"""Every address x every role, the other client's user, a stranger, and nobody at all.

What is expected comes from the table of roles. An address that neither asks for an action nor
is listed as open fails; so does one whose variable parts have no sample.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoDbBlocker

from sites.kernel.access import actions_anywhere
from sites.models import User
from tests.cast import OURS, THEIRS, Cast, make_cast, make_corner
from tests.databases import rows_for_a_module
from tests.web.addresses import (
    BY_SECRET,
    NEEDS_ALL_PROPERTIES,
    OWN,
    PUBLIC,
    SIGNED_IN,
    Address,
    admin_names,
    every_address,
    samples_for,
)

pytestmark = pytest.mark.django_db

LIMITED = {"tracer": THEIRS, "client_user": THEIRS, "outsider": OURS, "stranger": OURS}
ADDRESSES = every_address()
# One for all: a new one would look through all static files again.
BROWSER = Client()
# For a program that brings the token of the setting METRICS_TOKEN; without one there is no such
# address, for anybody.
BY_TOKEN = {"faults:metrics"}
OPENED = {200, 204, 302}
REFUSED_AS_EMPTY = {400, 422}


@dataclass
class Answer:
    """What came back, with its text as a whole."""

    status: int
    text: str
    location: str


@pytest.fixture(scope="module")
def scene(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker
) -> Iterator[tuple[Cast, dict[tuple[str, str], str]]]:
    """Users, and values for the variable parts of addresses: made once for all addresses."""
    with rows_for_a_module(django_db_blocker):
        ours = make_corner(OURS)
        users = make_cast(ours, make_corner(THEIRS))
        yield users, samples_for(ours, starter=users.owner)


@pytest.fixture
def cast(scene: tuple[Cast, dict[tuple[str, str], str]]) -> Cast:
    """One user for each role, the other client's user, and a stranger."""
    return scene[0]


@pytest.fixture
def samples(scene: tuple[Cast, dict[tuple[str, str], str]]) -> dict[tuple[str, str], str]:
    """Values for the variable parts of addresses, all of our client."""
    return scene[1]


def ask(address: Address, url: str, user: User | None) -> Answer:
    """Open the address as this user; where it takes forms only, send an empty one."""
    browser = BROWSER
    browser.cookies.clear()
    if user is not None:
        browser.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    response: Any = browser.get(url)
    if response.status_code == 405:
        response = browser.post(url, {})
    body = b"".join(response.streaming_content) if response.streaming else response.content
    return Answer(
        response.status_code, body.decode("utf-8", "replace"), response.headers.get("Location", "")
    )


def test_every_address_asks_for_an_action_or_is_listed_as_open() -> None:
    unlisted = {each.name for each in ADDRESSES if each.asks_for is None}
    assert unlisted == PUBLIC | SIGNED_IN | BY_TOKEN


def test_an_address_that_asks_for_an_action_is_not_listed_as_open() -> None:
    asking = {each.name for each in ADDRESSES if each.asks_for is not None}
    assert asking & (PUBLIC | SIGNED_IN | BY_TOKEN) == set()


def test_the_lists_name_addresses_that_exist() -> None:
    names = {each.name for each in ADDRESSES}
    assert (PUBLIC | SIGNED_IN | BY_TOKEN | NEEDS_ALL_PROPERTIES) - names == set()


def test_every_address_has_a_name_of_its_own_and_samples(
    samples: dict[tuple[str, str], str],
) -> None:
    names = [each.name for each in ADDRESSES]
    assert len(names) == len(set(names))
    assert {key for each in ADDRESSES for key in each.keys} - set(samples) == set()


def expected(address: Address, person: str, user: User) -> set[int]:
    """Return the statuses that the table of roles allows."""
    if address.name in PUBLIC | SIGNED_IN:
        return OPENED | REFUSED_AS_EMPTY
    if address.name in BY_TOKEN:
        return {404}
    if address.asks_for not in actions_anywhere(user):
        return {403}
    if address.route.startswith(OWN) and person != "owner":
        return {404}
    if address.is_about_one_thing and person == "outsider":
        return {404}
    return OPENED | REFUSED_AS_EMPTY


@pytest.mark.parametrize("address", ADDRESSES, ids=lambda each: each.name)
def test_an_address_opens_to_those_whom_the_table_of_roles_names(
    address: Address, cast: Cast, samples: dict[tuple[str, str], str]
) -> None:
    wrong, told = {}, set()
    for person, user in cast.everybody().items():
        with transaction.atomic():  # what an empty form changed must not reach the next person
            answer = ask(address, address.url(samples), user)
            transaction.set_rollback(True)
        if answer.status not in expected(address, person, user):
            wrong[person] = answer.status
        limited = person in LIMITED and address.name not in BY_SECRET
        if limited and LIMITED[person] in answer.text.lower():
            told.add(person)
    assert wrong == {}
    assert told == set()


@pytest.mark.parametrize("address", ADDRESSES, ids=lambda each: each.name)
def test_nobody_comes_in_without_signing_in(
    address: Address, samples: dict[tuple[str, str], str]
) -> None:
    answer = ask(address, address.url(samples), None)
    assert (OURS in answer.text.lower()) == (address.name in BY_SECRET)
    assert THEIRS not in answer.text.lower()
    if address.name in PUBLIC:
        assert answer.status in {200, 302}
        return
    if address.name in BY_TOKEN:
        assert answer.status == 404
        return
    assert answer.status == 302
    assert answer.location.startswith(reverse("sites:sign_in"))


def like_any_other(text: str) -> str:
    """Return the page without what differs between any two: CSRF tokens and the address."""
    return re.sub(r"[A-Za-z0-9]{64}", "KEY", re.sub(r"\b[2-9b-z]{10}\b", "REF", text))


@pytest.mark.parametrize(
    "address", [each for each in ADDRESSES if each.is_about_one_thing], ids=lambda each: each.name
)
def test_a_thing_that_does_not_exist_looks_like_a_strangers_thing(
    address: Address, cast: Cast, samples: dict[tuple[str, str], str]
) -> None:
    nowhere = {key: "999999999" if key[1] == "pk" else "zzzzzzzzzz" for key in samples}
    missing = ask(address, address.url(nowhere), cast.outsider)
    strangers = ask(address, address.url(samples), cast.outsider)
    if address.name not in PUBLIC:
        assert missing.status == strangers.status
        assert like_any_other(missing.text) == like_any_other(strangers.text)


@pytest.mark.parametrize("word", [OURS, THEIRS])
def test_the_canary_words_are_on_the_pages_of_those_who_may_see_them(word: str, cast: Cast) -> None:
    texts = [
        ask(each, each.url({}), cast.owner).text.lower()
        for each in ADDRESSES
        if each.asks_for and not each.is_about_one_thing
    ]
    assert sum(word in text for text in texts) >= 4


@pytest.mark.parametrize("person", ["nobody", *Cast.__dataclass_fields__])
def test_the_admin_is_closed_to_whoever_is_not_its_staff(person: str, cast: Cast) -> None:
    user = getattr(cast, person, None)
    for name in admin_names():
        url = reverse(name)
        answer = ask(Address(name, "", None), url, user)
        if name == "admin:login":
            # The one sign-in, or no admin for who is signed in already.
            assert answer.status == (302 if user is None else 403)
        elif name == "admin:logout":
            assert answer.status in {200, 302}
        else:
            assert (answer.status, answer.location.partition("?")[0]) == (
                302,
                reverse("admin:login"),
            ), name
