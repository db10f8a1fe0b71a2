"""Rate limits stop a user or address that sends too many requests, and no other."""

from typing import Any

import pytest
import time_machine
from django.http import HttpRequest, HttpResponse
from django.test import Client, RequestFactory
from django.urls import reverse

from sites.kernel.engines.roles import Role
from sites.kernel.middleware import ProxyMiddleware
from tests import make

pytestmark = pytest.mark.django_db

WRONG = {"username": "nobody", "password": "wrong"}


def test_signing_in_is_refused_after_twenty_tries_in_a_minute(client: Client) -> None:
    address = reverse("sites:sign_in")
    # Twenty-one passwords to check may take a busy machine into the next minute.
    with time_machine.travel(make.NOW, tick=False):
        answers = [client.post(address, WRONG | {"username": f"n{n}"}) for n in range(21)]
    assert {answer.status_code for answer in answers[:20]} == {200}
    assert answers[20].status_code == 429
    assert int(answers[20].headers["Retry-After"]) > 0


def test_looking_at_the_form_is_never_counted(client: Client) -> None:
    address = reverse("sites:sign_in")
    assert {client.get(address).status_code for _ in range(40)} == {200}


def test_one_address_does_not_use_up_the_tries_of_another(client: Client) -> None:
    address = reverse("sites:sign_in")
    with time_machine.travel(make.NOW, tick=False):
        for n in range(21):
            client.post(address, WRONG | {"username": f"n{n}"}, REMOTE_ADDR="192.0.2.1")
        assert client.post(address, WRONG, REMOTE_ADDR="192.0.2.2").status_code == 200


def test_a_forgotten_password_is_mailed_six_times_an_hour_at_most(client: Client) -> None:
    address = reverse("sites:password_reset")
    answers = [client.post(address, {"email": "a@example.org"}) for _ in range(7)]
    assert [answer.status_code for answer in answers] == [302] * 6 + [429]


def test_the_answer_inside_htmx_is_a_fragment(client: Client) -> None:
    address = reverse("sites:password_reset")
    for _ in range(6):
        client.post(address, {"email": "a@example.org"})
    answer = client.post(address, {"email": "a@example.org"}, headers={"hx-request": "true"})
    assert answer.status_code == 429
    assert b"<html" not in answer.content


@pytest.mark.parametrize(
    ("proxies", "forwarded", "counted"),
    [
        (0, "198.51.100.7", "10.0.0.1"),
        (1, "198.51.100.7", "198.51.100.7"),
        (1, "203.0.113.9, 198.51.100.7", "198.51.100.7"),
        (2, "203.0.113.9, 198.51.100.7", "203.0.113.9"),
        (2, "192.0.2.1, 203.0.113.9, 198.51.100.7", "203.0.113.9"),
        (2, "198.51.100.7", "10.0.0.1"),
        (1, "", "10.0.0.1"),
        (1, "unknown", "10.0.0.1"),
        (1, "198.51.100.7, not an address", "10.0.0.1"),
        (1, "2001:DB8::0:1", "2001:db8::1"),
    ],
)
def test_the_address_is_the_one_that_our_outermost_proxy_saw(
    proxies: int, forwarded: str, counted: str, settings: Any, rf: RequestFactory
) -> None:
    settings.TRUSTED_PROXIES = proxies
    seen: list[str] = []

    def page(request: HttpRequest) -> HttpResponse:
        seen.append(request.META["REMOTE_ADDR"])
        return HttpResponse()

    ProxyMiddleware(page)(rf.get("/", REMOTE_ADDR="10.0.0.1", HTTP_X_FORWARDED_FOR=forwarded))
    assert seen == [counted]


def test_a_name_is_locked_for_the_sender_of_wrong_passwords_and_for_nobody_else(
    client: Client, settings: Any
) -> None:
    settings.TRUSTED_PROXIES = 1
    user = make.user(Role.DISPATCHER)
    user.set_password("right password 77")
    user.save()
    address = reverse("sites:sign_in")

    def sign_in(password: str, sender: str) -> int:
        given = {"username": user.username, "password": password}
        return client.post(address, given, headers={"x-forwarded-for": sender}).status_code

    assert [sign_in("wrong", "192.0.2.6") for _ in range(6)][-1] == 429
    assert sign_in("right password 77", "192.0.2.6") == 429
    assert sign_in("right password 77", "192.0.2.7") == 302
