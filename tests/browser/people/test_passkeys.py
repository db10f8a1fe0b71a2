"""A passkey in a real browser, with the device that Chromium pretends to have."""

import pytest
from playwright.sync_api import Page, expect

from sites.kernel.engines.roles import Role
from sites.models import Passkey, User
from tests import make

pytestmark = pytest.mark.service
PASSWORD = "a long enough phrase"
# WebDriver's virtual authenticators, Web Authentication, level 2, 11.2.
DEVICE = {
    "protocol": "ctap2",
    "transport": "usb",
    "hasUserVerification": False,
    "isUserVerified": False,
    "automaticPresenceSimulation": True,
}


def named(url: str) -> str:
    """Return the address by name: a passkey belongs to a host's name, never to a number."""
    return url.replace("127.0.0.1", "localhost")


def sign_in(page: Page, url: str, user: User) -> None:
    page.goto(f"{url}/account/sign-in/")
    page.locator("#id_username").fill(user.username)
    page.locator("#id_password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()


def made_user() -> User:
    user = make.user(Role.OWNER)
    user.set_password(PASSWORD)
    user.save()
    return user


def test_a_device_is_added_and_lets_in(page: Page, site_url: str) -> None:
    user, url = made_user(), named(site_url)
    line = page.context.new_cdp_session(page)
    line.send("WebAuthn.enable")
    line.send("WebAuthn.addVirtualAuthenticator", {"options": DEVICE})
    sign_in(page, url, user)
    page.goto(f"{url}/account/passkeys/")
    page.get_by_label("Name of the device").fill("blue key")
    page.get_by_role("button", name="Add a passkey").click()
    expect(page.get_by_role("heading", name="Your recovery codes")).to_be_visible()
    assert Passkey.objects.get().name == "blue key"

    page.context.clear_cookies()
    sign_in(page, url, user)
    page.get_by_role("button", name="Use a passkey").click()
    expect(page.get_by_role("button", name="Sign out")).to_have_count(1)
    used = Passkey.objects.get()
    assert (used.used_at is not None, used.signed > 0) == (True, True)

    # The same device a second time: it says so itself, and nothing is sent.
    page.goto(f"{url}/account/passkeys/")
    expect(page.get_by_text("last used")).to_be_visible()
    page.get_by_label("Name of the device").fill("again")
    page.get_by_role("button", name="Add a passkey").click()
    expect(page.get_by_text("The device gave no answer")).to_be_visible()
    assert Passkey.objects.count() == 1


def test_at_an_address_without_a_name_the_page_says_that_it_cannot(
    page: Page, site_url: str
) -> None:
    sign_in(page, site_url, made_user())
    page.goto(f"{site_url}/account/passkeys/")
    page.get_by_label("Name of the device").fill("blue key")
    page.get_by_role("button", name="Add a passkey").click()
    expect(page.get_by_text("This browser or this address cannot use passkeys")).to_be_visible()
    assert Passkey.objects.count() == 0
