"""A signed-in person who asks far too often waits, and nobody else; the edges are our own."""

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from sites.people.views.often import CHANGES, FILES, PAGES
from tests import make
from tests.cast import Cast
from tests.web.pages import signed_in

pytestmark = pytest.mark.django_db
LIST = "/stations/?export=csv"


def most(rate: str) -> int:
    """Return how many a minute a rate lets through."""
    return int(rate.partition("/")[0])


@pytest.mark.parametrize(
    ("rate", "method", "url"),
    [
        (FILES, "get", LIST),
        (FILES, "get", "/export/register/"),
        (CHANGES, "post", "/views/forget/"),
        (PAGES, "get", "/account/"),
    ],
)
def test_the_last_that_is_let_through_and_the_first_that_waits(
    monkeypatch: pytest.MonkeyPatch, cast: Cast, rate: str, method: str, url: str
) -> None:
    # So that the edge is near: what counts is that it is where the rate says.
    name = {FILES: "FILES", CHANGES: "CHANGES", PAGES: "PAGES"}[rate]
    monkeypatch.setattr(f"sites.people.views.often.{name}", "3/minute")
    here, elsewhere = signed_in(cast.owner), signed_in(cast.water_manager)
    with time_machine.travel(make.NOW, tick=False):
        answers = [getattr(here, method)(url) for _each in range(4)]
        assert [each.status_code == 429 for each in answers] == [False, False, False, True]
        assert int(answers[3].headers["Retry-After"]) == 60
        assert getattr(elsewhere, method)(url).status_code != 429
    with time_machine.travel(make.NOW.replace(hour=make.NOW.hour + 1), tick=False):
        assert getattr(here, method)(url).status_code != 429


def test_pages_changes_and_files_are_counted_apart(cast: Cast) -> None:
    browser = signed_in(cast.owner)
    with time_machine.travel(make.NOW, tick=False):
        assert {browser.get(LIST).status_code for _each in range(most(FILES))} == {200}
        assert browser.get(LIST).status_code == 429
        assert browser.get("/stations/").status_code == 200
        assert browser.post(reverse("sites:view_forget"), {"view": "0"}).status_code == 404


def test_hands_come_nowhere_near(cast: Cast) -> None:
    """Ten pages with sixty pictures each, and a change every second, in one minute."""
    assert most(PAGES) >= 10 * 61
    assert most(CHANGES) >= 60
    assert most(FILES) >= 2 * 10


def test_who_is_not_signed_in_is_counted_at_the_doors_alone(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("sites.people.views.often.PAGES", "1/minute")
    browser = Client()
    assert [browser.get(reverse("sites:sign_in")).status_code for _each in range(3)] == [200] * 3
