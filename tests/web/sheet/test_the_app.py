"""The sheets as an app on a phone, and what other pages offer those who have one."""

import pytest
from django.test import Client

from tests.cast import Cast
from tests.web.pages import signed_in

pytestmark = pytest.mark.django_db


def test_the_app_can_be_put_on_a_home_screen(client: Client) -> None:
    answer = client.get("/sheet.webmanifest")
    told = answer.json()
    assert answer.headers["Content-Type"] == "application/manifest+json"
    assert (told["start_url"], told["display"]) == ("/sheets/", "standalone")
    assert [icon["sizes"] for icon in told["icons"]] == ["192x192", "512x512"]


def test_signing_out_clears_what_the_browser_keeps(cast: Cast) -> None:
    answer = signed_in(cast.technician).post("/account/sign-out/")
    assert answer.headers["Clear-Site-Data"] == '"cache", "storage"'


def test_a_tracer_is_offered_no_page_that_is_closed_to_the_role(cast: Cast) -> None:
    for user, is_offered in ((cast.tracer, False), (cast.dispatcher, True)):
        assert ("Add a property" in signed_in(user).get("/properties/").content.decode()) is (
            is_offered
        )
    assert (
        "No crew is set up yet" not in signed_in(cast.tracer).get("/moves/board/").content.decode()
    )
