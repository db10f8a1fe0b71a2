"""The sheets as an app on a phone, and what other pages offer those who have one."""

import json
import re

import pytest
import quickjs
from django.test import Client

from tests.architecture.source import CHECKOUT
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


@pytest.mark.parametrize(
    ("cookies", "key"),
    [
        ("csrftoken=abc", "abc"),
        ("__Host-csrftoken=abc", "abc"),
        ("other=1; __Host-csrftoken=abc; last=2", "abc"),
        ("mycsrftoken=abc; csrftoken2=d", ""),
        ("", ""),
    ],
)
def test_a_phone_finds_the_key_of_forms_with_and_without_encryption(cookies: str, key: str) -> None:
    script = (CHECKOUT / "faults/sheet/static/faults/sheet/keep.js").read_text()
    found = re.search(r"^function formKey\(\) \{\n.*?^\}$", script, re.M | re.S)
    assert found
    context = quickjs.Context()
    context.eval(f"const document = {{ cookie: {json.dumps(cookies)} }};")
    assert context.eval(f"({found[0]})()") == key
