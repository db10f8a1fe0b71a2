"""Rate limits stop a user or address that sends too many requests, and no other."""

import pytest
from django.test import Client
from django.urls import reverse

pytestmark = pytest.mark.django_db

WRONG = {"username": "nobody", "password": "wrong"}


def test_signing_in_is_refused_after_twenty_tries_in_a_minute(client: Client) -> None:
    address = reverse("sites:sign_in")
    answers = [client.post(address, WRONG | {"username": f"n{n}"}) for n in range(21)]
    assert {answer.status_code for answer in answers[:20]} == {200}
    assert answers[20].status_code == 429
    assert int(answers[20].headers["Retry-After"]) > 0


def test_looking_at_the_form_is_never_counted(client: Client) -> None:
    address = reverse("sites:sign_in")
    assert {client.get(address).status_code for _ in range(40)} == {200}


def test_one_address_does_not_use_up_the_tries_of_another(client: Client) -> None:
    address = reverse("sites:sign_in")
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
