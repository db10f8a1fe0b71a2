"""One's own account: sign in and out, wrong passwords, lock-out, settings."""

from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make
from tests.web.pages import Sheet, open_page, send

pytestmark = pytest.mark.django_db

PASSWORD = "seven dry lawns"
SIGN_IN = "/account/sign-in/"


@pytest.fixture
def walter() -> User:
    """A water manager with a password."""
    user = make.user(Role.WATER_MANAGER, username="walter", first_name="Walter")
    user.set_password(PASSWORD)
    user.save()
    return user


def try_in(browser: Client, password: str, username: str = "walter", **more: str) -> Sheet:
    """Send the sign-in form and go where it leads."""
    fields = {"username": username, "password": password, **more}
    return Sheet(browser.post(SIGN_IN, fields, follow=True))


def is_in(browser: Client) -> bool:
    """Return whether a user is signed in."""
    return "_auth_user_id" in browser.session


def test_signing_in_leads_to_off_central(client: Client, walter: User) -> None:
    sheet = try_in(client, PASSWORD)
    assert sheet.response.redirect_chain == [("/start/", 302), ("/", 302)]
    assert "Walter" in sheet.words


def test_signing_in_leads_on_to_the_page_that_asked_for_it(client: Client, walter: User) -> None:
    asked = Sheet(client.get("/stations/?q=lawn", follow=True))
    assert asked.heading == "Sign in"
    sheet = try_in(client, PASSWORD, next=asked.value("next"))
    assert sheet.response.redirect_chain == [("/stations/?q=lawn", 302)]


@pytest.mark.parametrize("away", ["https://elsewhere.example/", "//elsewhere.example/"])
def test_signing_in_never_leads_to_another_site(client: Client, walter: User, away: str) -> None:
    answer = client.post(SIGN_IN, {"username": "walter", "password": PASSWORD, "next": away})
    assert answer.headers["Location"] == "/start/"


def test_whoever_is_in_already_is_not_asked_again(walter: User) -> None:
    assert open_page(walter, SIGN_IN).response.headers["Location"] == "/start/"


@pytest.mark.parametrize("username", ["walter", "nobody"])
def test_a_wrong_password_and_an_unknown_name_are_answered_alike(
    client: Client, walter: User, username: str
) -> None:
    sheet = try_in(client, "wrong", username)
    assert sheet.errors == [
        "This name and password do not go together. Check both; capital letters count. "
        "After six wrong tries the name is locked for 15 minutes."
    ]
    assert (sheet.value("username"), sheet.value("password")) == (username, "")


def test_after_six_wrong_tries_the_right_password_is_refused_too(
    client: Client, walter: User
) -> None:
    tries = [try_in(client, "wrong") for _ in range(6)]
    assert [sheet.status for sheet in tries] == [200] * 5 + [429]
    locked = try_in(client, PASSWORD)
    assert locked.status == 429
    assert locked.heading == "Too many wrong tries: this name is locked for 15 minutes."
    assert locked.links["Password forgotten?"] == "/account/forgotten/"
    assert not is_in(client)


def test_five_wrong_tries_lock_nothing(client: Client, walter: User) -> None:
    for _ in range(5):
        try_in(client, "wrong")
    try_in(client, PASSWORD)
    assert is_in(client)


def test_a_right_password_forgets_the_wrong_ones(client: Client, walter: User) -> None:
    for password in ["wrong"] * 5 + [PASSWORD]:
        try_in(client, password)
    client.logout()
    assert try_in(client, "wrong").status == 200


def test_the_lock_opens_by_itself_after_a_quarter_of_an_hour(client: Client, walter: User) -> None:
    start = datetime(2025, 6, 15, 9, 0, tzinfo=UTC)
    with time_machine.travel(start, tick=False) as clock:
        for _ in range(6):
            try_in(client, "wrong")
        clock.shift(timedelta(minutes=14))
        assert try_in(client, PASSWORD).status == 429
        clock.shift(timedelta(minutes=16))
        try_in(client, PASSWORD)
        assert is_in(client)


def test_a_lock_holds_for_the_name_and_nobody_else(client: Client, walter: User) -> None:
    dora = make.user(username="dora")
    dora.set_password(PASSWORD)
    dora.save()
    for _ in range(6):
        try_in(client, "wrong")
    try_in(client, PASSWORD, "dora")
    assert is_in(client)


def test_signing_out_ends_the_session_and_asks_again(client: Client, walter: User) -> None:
    try_in(client, PASSWORD)
    assert Sheet(client.post("/account/sign-out/", follow=True)).heading == "Sign in"
    assert client.get("/").status_code == 302


def test_a_link_cannot_sign_anybody_out(client: Client, walter: User) -> None:
    try_in(client, PASSWORD)
    assert client.get("/account/sign-out/").status_code == 405
    assert is_in(client)


def settings_of(user: User, **changed: str) -> dict[str, str]:
    """Return the fields of the user's own settings, some changed."""
    own = {"first_name": "Walter", "last_name": "", "email": "", "time_zone": "UTC"}
    return {**own, "language": user.language, **changed}


def test_own_settings_are_kept(walter: User) -> None:
    fields = settings_of(walter, time_zone="America/Phoenix", email="walter@example.org")
    sheet = send(walter, "/account/", **fields)
    walter.refresh_from_db()
    assert (walter.time_zone, walter.email) == ("America/Phoenix", "walter@example.org")
    assert sheet.messages == ["Your settings are kept."]


def test_settings_that_cannot_be_are_refused_and_stay_on_the_form(walter: User) -> None:
    sheet = send(walter, "/account/", **settings_of(walter, email="walter at home"))
    assert (sheet.status, sheet.errors) == (422, ["Enter a valid email address."])
    assert sheet.value("email") == "walter at home"


def test_the_language_changes_the_page(walter: User) -> None:
    assert 'lang="en"' in open_page(walter, "/").html
    sheet = send(walter, "/account/", **settings_of(walter, language="es"))
    assert 'lang="es"' in sheet.html
    assert "Introduzca" in send(walter, "/account/", email="x", language="es").words


@pytest.mark.parametrize(
    ("time_zone", "day"),
    [("Pacific/Auckland", "2025-01-02"), ("America/Phoenix", "2025-01-01")],
)
def test_where_no_property_is_meant_today_is_the_users_own(
    walter: User, time_zone: str, day: str
) -> None:
    walter.time_zone = time_zone
    walter.save()
    with time_machine.travel(datetime(2025, 1, 1, 20, 0, tzinfo=UTC), tick=False):
        board = open_page(walter, reverse("faults:board"))
    assert board.response.context["today"].isoformat() == day


def test_says_what_one_may_see_and_how_to_see_more(walter: User) -> None:
    assert "water manager: every property" in open_page(walter, "/account/").words
    assert "Ask the owner" in open_page(make.user(), "/account/").words


def test_no_form_lets_anybody_widen_their_own_role(walter: User) -> None:
    send(walter, "/account/", **settings_of(walter, is_superuser="on", is_staff="on", grants="1"))
    walter.refresh_from_db()
    assert not walter.is_superuser
    assert not walter.is_staff
