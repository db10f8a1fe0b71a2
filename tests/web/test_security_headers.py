"""What every answer tells the browser to refuse, and cookies that scripts and spies do not get."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.test import Client

from sites.models import User
from tests.architecture.source import CHECKOUT
from tests.cast import Cast, Corner
from tests.web.addresses import every_address, samples_for
from tests.web.markup import elements_of
from tests.web.pages import open_page, signed_in

pytestmark = pytest.mark.django_db

PRODUCTION = {
    "ALLOWED_HOSTS": "water.example.org",
    "SECRET_KEY": "k7Vq-93xLmZ0_tRw2YpBn6sHdJf8gQc1eXaUi5oM4vTzKbW9rD",
}
ASKED = (
    "SESSION_COOKIE_SECURE",
    "SESSION_COOKIE_HTTPONLY",
    "CSRF_COOKIE_SECURE",
    "SECURE_SSL_REDIRECT",
    "SECURE_HSTS_SECONDS",
    "SECURE_HSTS_INCLUDE_SUBDOMAINS",
    "SESSION_COOKIE_NAME",
    "CSRF_COOKIE_NAME",
    "SECURE_PROXY_SSL_HEADER",
    "DEBUG",
    "DEMO",
)


def policy_of(answer: object) -> dict[str, list[str]]:
    """Return the content security policy by directive."""
    text = answer.headers["Content-Security-Policy"]  # type: ignore[attr-defined]
    return {part.split()[0]: part.split()[1:] for part in text.split(";") if part.strip()}


@pytest.mark.parametrize("url", ["/", "/account/sign-in/", "/nowhere/", "/admin/login/"])
def test_no_script_or_style_inside_a_page_runs(manager: User, url: str) -> None:
    policy = policy_of(signed_in(manager).get(url))
    assert "unsafe" not in str(policy)
    assert policy["script-src"] == ["'self'"]
    assert policy["default-src"] == ["'none'"]


def test_styles_are_files_of_ours_and_none_is_let_in_by_a_hash(manager: User) -> None:
    policy = policy_of(open_page(manager, "/").response)
    assert policy["style-src"] == ["'self'"]
    assert "sha" not in str(policy)


@pytest.mark.parametrize(
    ("directive", "allowed"),
    [
        ("frame-ancestors", ["'none'"]),
        ("base-uri", ["'none'"]),
        ("object-src", ["'none'"]),
        ("form-action", ["'self'"]),
        ("connect-src", ["'self'"]),
        ("font-src", ["'self'"]),
    ],
)
def test_nothing_frames_redirects_or_calls_out(
    manager: User, directive: str, allowed: list[str]
) -> None:
    assert policy_of(open_page(manager, "/").response)[directive] == allowed


@pytest.mark.parametrize(
    ("header", "value"),
    [
        ("X-Frame-Options", "DENY"),
        ("X-Content-Type-Options", "nosniff"),
        ("Referrer-Policy", "same-origin"),
        ("Cross-Origin-Opener-Policy", "same-origin"),
    ],
)
@pytest.mark.parametrize("url", ["/", "/account/sign-in/", "/nowhere/"])
def test_every_answer_carries(manager: User, url: str, header: str, value: str) -> None:
    assert open_page(manager, url).response.headers[header] == value


def test_no_page_holds_a_script_a_style_or_a_handler_of_its_own(cast: Cast, ours: Corner) -> None:
    samples = samples_for(ours, starter=cast.owner)
    found = {}
    for address in every_address():
        answer = signed_in(cast.owner).get(address.url(samples))
        if answer.status_code == 200 and answer.headers["Content-Type"].startswith("text/html"):
            found[address.name] = inside(answer)
    assert len(found) > 10
    assert {name: here for name, here in found.items() if here} == {}


def inside(answer: object) -> list[str]:
    """Return scripts, styles and handlers that stand inside a page."""
    elements = list(elements_of(answer.content.decode()).inside())  # type: ignore[attr-defined]
    scripts = [
        each.name
        for each in elements
        if each.name == "script"
        and "src" not in each.attributes
        and each.attributes.get("type") != "application/json"
    ]
    styles = [each.name for each in elements if each.name == "style"]
    handlers = [
        f"{each.name} {name}"
        for each in elements
        for name in each.attributes
        if name == "style" or name.startswith(("on", "hx-on"))
    ]
    return scripts + styles + handlers


def test_the_session_cookie_is_closed_to_scripts(client: Client, manager: User) -> None:
    manager.set_password("seven dry lawns")
    manager.save()
    client.post("/account/sign-in/", {"username": manager.username, "password": "seven dry lawns"})
    cookie = client.cookies["sessionid"]
    assert cookie["httponly"] is True
    assert cookie["samesite"] == "Lax"


def settings_with(tmp_path: Path, **env: str) -> dict[str, object]:
    """Return the settings of a fresh process that starts in these surroundings."""
    ask = f"from django.conf import settings as s; import json; \
print(json.dumps({{n: getattr(s, n) for n in {ASKED!r}}}))"
    answer = subprocess.run(
        [sys.executable, "-c", ask],
        cwd=CHECKOUT,
        env={
            "PATH": os.environ["PATH"],
            "DJANGO_SETTINGS_MODULE": "sites.project.settings",
            "REJOIN_STATE": str(tmp_path),
            **env,
        },
        capture_output=True,
        text=True,
        check=True,
    )
    read: dict[str, object] = json.loads(answer.stdout)
    return read


def test_in_production_cookies_travel_encrypted_only(tmp_path: Path) -> None:
    read = settings_with(tmp_path, **PRODUCTION)
    assert read["SESSION_COOKIE_SECURE"] is read["CSRF_COOKIE_SECURE"] is True
    assert read["SESSION_COOKIE_HTTPONLY"] is True
    assert read["SECURE_SSL_REDIRECT"] is True
    assert read["SECURE_HSTS_SECONDS"] == 60 * 60 * 24 * 365
    assert read["SECURE_HSTS_INCLUDE_SUBDOMAINS"] is True
    # ASVS 5.0, 3.3.1 and 3.3.3: of this host alone.
    assert read["SESSION_COOKIE_NAME"] == "__Host-sessionid"
    assert read["CSRF_COOKIE_NAME"] == "__Host-csrftoken"
    assert read["SECURE_PROXY_SSL_HEADER"] == ["HTTP_X_FORWARDED_PROTO", "https"]


def test_on_this_machine_alone_pages_work_without_encryption(tmp_path: Path) -> None:
    read = settings_with(tmp_path)
    assert read["SESSION_COOKIE_SECURE"] is read["SECURE_SSL_REDIRECT"] is False
    assert read["DEBUG"] is read["DEMO"] is False
