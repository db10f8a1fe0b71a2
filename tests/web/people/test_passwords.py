"""Passwords: changed by their owner, or reset by a link that comes by mail."""

import re
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.contrib.auth.password_validation import validate_password
from django.core import mail
from django.core.exceptions import ValidationError
from django.test import Client

from sites.models import User
from tests import make
from tests.web.pages import Sheet, send, signed_in

pytestmark = pytest.mark.django_db

OLD, NEW = "seven dry lawns", "eleven wet hedges"


@pytest.fixture
def walter() -> User:
    """A user with a password and a mail address."""
    user = make.user(username="walter", email="walter@example.org")
    user.set_password(OLD)
    user.save()
    return user


def twice(password: str, **more: str) -> dict[str, str]:
    """Return the fields of a form that asks for a new password twice."""
    return {"new_password1": password, "new_password2": password, **more}


def ask_for_link(browser: Client, address: str) -> Sheet:
    """Ask for a new password by mail."""
    return Sheet(browser.post("/account/forgotten/", {"email": address}, follow=True))


def link_in_mail() -> str:
    """Return the address in the one mail that was sent, without its host."""
    (letter,) = mail.outbox
    (link,) = re.findall(r"http://testserver(\S+)", letter.body)
    return str(link)


def test_a_changed_password_works_and_the_old_one_does_not(client: Client, walter: User) -> None:
    sheet = send(walter, "/account/password/", old_password=OLD, **twice(NEW))
    assert sheet.messages == ["Your password is changed."]
    walter.refresh_from_db()
    assert (walter.check_password(NEW), walter.check_password(OLD)) == (True, False)


def test_changing_it_keeps_this_window_and_signs_the_others_out(walter: User) -> None:
    here, elsewhere = signed_in(walter), signed_in(walter)
    here.post("/account/password/", {"old_password": OLD, **twice(NEW)})
    assert here.get("/account/").status_code == 200
    assert elsewhere.get("/account/").status_code == 302


def test_the_old_password_is_needed(walter: User) -> None:
    sheet = send(walter, "/account/password/", old_password="wrong", **twice(NEW))
    assert any("incorrect" in error for error in sheet.errors)
    walter.refresh_from_db()
    assert walter.check_password(OLD)


@pytest.mark.parametrize("weak", ["short", "eleven char", "password1234", "walter@example.org"])
def test_a_weak_password_is_refused(walter: User, weak: str) -> None:
    sheet = send(walter, "/account/password/", old_password=OLD, **twice(weak))
    assert sheet.errors
    walter.refresh_from_db()
    assert walter.check_password(OLD)


def test_a_forgotten_password_is_set_anew_from_end_to_end(client: Client, walter: User) -> None:
    assert ask_for_link(client, "walter@example.org").heading == "Look into your mail"
    assert (mail.outbox[0].to, mail.outbox[0].subject) == (
        ["walter@example.org"],
        "A new password for Rejoin",
    )
    form = Sheet(client.get(link_in_mail(), follow=True))
    assert form.heading == "A new password"
    done = Sheet(client.post(form.response.request["PATH_INFO"], twice(NEW), follow=True))
    assert done.heading == "Sign in"
    entered = client.post("/account/sign-in/", {"username": "walter", "password": NEW})
    assert entered.headers["Location"] == "/start/"


def test_an_address_that_nobody_has_is_answered_alike_and_gets_no_mail(client: Client) -> None:
    assert ask_for_link(client, "nobody@example.org").heading == "Look into your mail"
    assert mail.outbox == []


def test_a_link_works_once(client: Client, walter: User) -> None:
    ask_for_link(client, "walter@example.org")
    form = Sheet(client.get(link_in_mail(), follow=True))
    client.post(form.response.request["PATH_INFO"], twice(NEW))
    again = Sheet(Client().get(link_in_mail(), follow=True))
    assert again.heading == "This link has been used, or is older than a day."
    assert again.links["Ask for a new one"] == "/account/forgotten/"


@pytest.mark.parametrize(
    ("hours", "heading"),
    [(23, "A new password"), (25, "This link has been used, or is older than a day.")],
)
def test_a_link_works_for_a_day(client: Client, walter: User, hours: int, heading: str) -> None:
    with time_machine.travel(datetime(2025, 6, 15, 9, 0, tzinfo=UTC), tick=False) as clock:
        ask_for_link(client, "walter@example.org")
        clock.shift(timedelta(hours=hours))
        assert Sheet(client.get(link_in_mail(), follow=True)).heading == heading


def test_a_weak_password_is_refused_at_the_link_too(client: Client, walter: User) -> None:
    ask_for_link(client, "walter@example.org")
    form = Sheet(client.get(link_in_mail(), follow=True))
    refused = Sheet(client.post(form.response.request["PATH_INFO"], twice("short")))
    assert refused.errors
    walter.refresh_from_db()
    assert walter.check_password(OLD)


def test_a_locked_name_is_opened_by_a_new_password(client: Client, walter: User) -> None:
    for _ in range(6):
        client.post("/account/sign-in/", {"username": "walter", "password": "wrong"})
    ask_for_link(client, "walter@example.org")
    form = Sheet(client.get(link_in_mail(), follow=True))
    client.post(form.response.request["PATH_INFO"], twice(NEW))
    entered = client.post("/account/sign-in/", {"username": "walter", "password": NEW})
    assert entered.status_code == 302


@pytest.mark.parametrize(
    "password",
    ["rejoin-Rejoin-2026", "Sprinkler1234567", "irrigation!!!station", "gardens2gardens!!"],
)
def test_a_word_of_the_trade_or_of_the_house_with_a_little_around_it_is_refused(
    settings: Any, password: str
) -> None:
    settings.ALLOWED_HOSTS = ["rejoin.gardens.example.org"]
    with pytest.raises(ValidationError, match="a word that everybody here would try"):
        validate_password(password)


def test_so_many_letters_beside_such_a_word_are_enough() -> None:
    # Common practice, no source: eight letters or digits are left, then seven.
    validate_password("irrigation qfxbkmzt")
    with pytest.raises(ValidationError, match="a word that everybody here would try"):
        validate_password("irrigation qfxbkmz")
    # Without such a word nothing is counted, and long ones of any kind are taken.
    validate_password("......!!!!!!####")
    validate_password("ö" * 64)
