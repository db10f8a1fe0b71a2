"""Requests that drawing at random found to be answered with a mistake of ours: each as it was."""

import pytest
from django.test import Client
from django.urls import reverse

from tests import make
from tests.cast import Cast
from tests.web.pages import open_page, send, signed_in

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("onward", ["word", "١٢٫٥", "..", "https://example.org/", "//example.org/"])
def test_who_signs_in_is_led_to_no_page_by_what_is_no_address(onward: str) -> None:
    make.user(username="pat", password="a-long-pass-phrase-7")
    asked = {"username": "pat", "password": "a-long-pass-phrase-7"}
    url = f"{reverse('sites:sign_in')}?next={onward}"
    answer = Client().post(url, {**asked, "next": onward})
    assert (answer.status_code, answer.headers["Location"]) == (302, reverse("sites:start"))


@pytest.mark.parametrize(
    ("back", "led_to"),
    [
        ("/first-hour/?x=1", "/first-hour/?x=1"),
        ("http://testserver/water/", "http://testserver/water/"),
        ("word", "/first-hour/"),
        ("١٢٫٥", "/first-hour/"),
        ("//example.org/", "/first-hour/"),
        ("http://example.org/", "/first-hour/"),
    ],
)
def test_a_step_leads_back_to_a_page_of_ours_alone(cast: Cast, back: str, led_to: str) -> None:
    url = reverse("reports:step_put_away")
    answer = signed_in(cast.owner).post(url, {"step": "schedules", "back": back})
    assert (answer.status_code, answer.headers["Location"]) == (302, led_to)


@pytest.mark.parametrize("url", ["/water/?q=", "/moves/?q=", "/stations/?q=", "/people/log/?who="])
def test_a_text_to_look_for_that_nobody_types_is_no_mistake_of_ours(cast: Cast, url: str) -> None:
    assert open_page(cast.owner, f"{url}{'x' * 70_000}").status == 200


@pytest.mark.parametrize(
    ("text", "is_found"),
    [("y" * 199 + "z", False), ("y" * 200, True), ("y" * 200 + "z", True)],
)
def test_of_a_long_text_the_first_two_hundred_letters_are_looked_for(
    cast: Cast, text: str, is_found: bool
) -> None:
    make.place(code="long-park", address="y" * 200)
    assert ("long-park" in open_page(cast.owner, f"/properties/?q={text}").words) is is_found


@pytest.mark.parametrize("number", ["9" * 40, "9" * 5000, "٣", "0"])
def test_a_key_that_nothing_has_finds_nothing(cast: Cast, number: str) -> None:
    assert send(cast.owner, reverse("sites:view_forget"), view=number).status == 404
