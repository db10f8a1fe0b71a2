"""gunicorn behind a real nginx: whom a limit counts, with and without TRUSTED_PROXIES."""

import os
import re
import subprocess
import sys
from collections.abc import Callable
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlencode

import pytest

from tests.services_real.gunicorn import gunicorn
from tests.services_real.worker import CHECKOUT
from tests.tasks.test_the_whole_service import PRODUCTION

pytestmark = pytest.mark.service
HOST = "rejoin.example.org"
FORM = "/account/forgotten/"
A_WRONG_SENDER, SOMEBODY_ELSE = "127.0.0.2", "127.0.0.3"


def asked(
    port: int, method: str, sender: str, body: str = "", **headers: str
) -> tuple[int, str, str]:
    """Ask as a machine of this address; returns status, cookie and body."""
    line = HTTPConnection("127.0.0.1", port, timeout=60, source_address=(sender, 0))
    given = {"Host": HOST, "Referer": f"https://{HOST}{FORM}", **headers}
    line.request(method, FORM, body, given)
    answer = line.getresponse()
    cookie = (answer.headers["Set-Cookie"] or "").partition(";")[0]
    text = answer.read().decode()
    line.close()
    return answer.status, cookie, text


def reset(port: int, sender: str, forged: str) -> int:
    """Ask for a new password, with an invented header; returns the status."""
    _status, cookie, page = asked(port, "GET", sender)
    found = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page)
    assert found
    body = urlencode({"csrfmiddlewaretoken": found[1], "email": "nobody@example.org"})
    headers = {
        "Cookie": cookie,
        "Content-Type": "application/x-www-form-urlencoded",
        "X-Forwarded-For": forged,
    }
    return asked(port, "POST", sender, body, **headers)[0]


@pytest.mark.parametrize(("proxies", "else_gets"), [("1", 302), ("0", 429)])
def test_one_wrong_sender_uses_up_the_tries_of_others_only_without_the_setting(
    proxies: str,
    else_gets: int,
    surroundings: dict[str, str],
    start_nginx: Callable[[str], int],
    tmp_path: Path,
) -> None:
    state = {"REJOIN_STATE": str(tmp_path), "TRUSTED_PROXIES": proxies}
    env = {"DJANGO_SETTINGS_MODULE": "sites.project.settings", **surroundings}
    env |= PRODUCTION | state
    collect = [sys.executable, "manage.py", "collectstatic", "--noinput", "-v0"]
    subprocess.run(collect, cwd=CHECKOUT, env={**os.environ, **env}, check=True)
    with gunicorn(env, tmp_path / "log") as url:
        port = start_nginx(url)
        answers = [reset(port, A_WRONG_SENDER, f"192.0.2.{n}") for n in range(7)]
        assert answers == [302] * 6 + [429]
        assert reset(port, SOMEBODY_ELSE, "192.0.2.1") == else_gets
