"""Error pages say what happened and what to do, as a page or inside htmx."""

import errno
import logging
import re
from typing import Any

import pytest
from django.contrib.sessions.backends.base import UpdateError
from django.contrib.sessions.exceptions import SessionInterrupted
from django.core.exceptions import SuspiciousOperation
from django.db import OperationalError, connection
from django.http import HttpRequest, HttpResponse
from django.test import Client
from django.urls import path
from django.utils.functional import SimpleLazyObject

from sites.kernel.engines.roles import Role
from sites.kernel.views import errors
from sites.models import User
from sites.project import urls as product
from tests import make
from tests.web.pages import HTMX, Sheet, fragment, open_page, signed_in

SECRET = "the secret detail of a traceback"


def read_wrong(request: HttpRequest) -> HttpResponse:
    """Refuse a request that cannot be read."""
    raise SuspiciousOperation(SECRET)


def break_down(request: HttpRequest) -> HttpResponse:
    """Fail in a way that nobody foresaw."""
    raise ZeroDivisionError(SECRET)


def lose_database(request: HttpRequest) -> HttpResponse:
    """Fail, and leave no way to look up the user."""

    def ask() -> None:
        raise ConnectionError(SECRET)

    request.user = SimpleLazyObject(ask)
    raise ConnectionError(SECRET)


def lose_the_session(request: HttpRequest) -> HttpResponse:
    """Fail as a sign-in does that could not be written: first the database, then the session."""
    try:
        try:
            raise OperationalError(SECRET)
        except OperationalError:
            raise UpdateError  # noqa: B904  (as Django raises it)
    except UpdateError:
        raise SessionInterrupted(SECRET)  # noqa: B904


def end_the_session(request: HttpRequest) -> HttpResponse:
    """Fail as a sign-in does that was ended elsewhere."""
    raise SessionInterrupted(SECRET)


def fill_the_disk(request: HttpRequest) -> HttpResponse:
    """Find no room for a file."""
    raise OSError(errno.ENOSPC, SECRET)


def miss_a_file(request: HttpRequest) -> HttpResponse:
    """Fail at a file in a way that more room would not mend."""
    raise OSError(errno.EACCES, SECRET)


urlpatterns = [
    *product.urlpatterns,
    path("lose-the-session/", lose_the_session),
    path("end-the-session/", end_the_session),
    path("fill-the-disk/", fill_the_disk),
    path("miss-a-file/", miss_a_file),
    path("read-wrong/", read_wrong),
    path("break-down/", break_down),
    path("lose-database/", lose_database),
]
handler400, handler403, handler404, handler500 = (
    product.handler400,
    product.handler403,
    product.handler404,
    product.handler500,
)

pytestmark = [pytest.mark.django_db, pytest.mark.urls(__name__)]

ERRORS = [
    ("/read-wrong/", 400, "This request could not be read."),
    ("/end-the-session/", 400, "This request could not be read."),
    ("/lose-the-session/", 503, "The database does not answer."),
    ("/fill-the-disk/", 507, "The disk here is full."),
    ("/miss-a-file/", 500, "Something broke on our side. Nothing was half-written."),
    ("/properties/add/", 403, "Your role does not include this."),
    ("/nowhere/", 404, "There is nothing here, or nothing that you may see."),
    ("/properties/zzzzzzzzzz/", 404, "There is nothing here, or nothing that you may see."),
    ("/break-down/", 500, "Something broke on our side. Nothing was half-written."),
]


@pytest.fixture
def technician() -> User:
    """A user who may see and not add."""
    return make.user(Role.TECHNICIAN)


@pytest.mark.parametrize(("url", "status", "words"), ERRORS)
def test_as_a_page_it_has_one_heading_what_to_do_and_a_way_out(
    technician: User, url: str, status: int, words: str
) -> None:
    sheet = open_page(technician, url)
    assert (sheet.status, sheet.heading) == (status, words)
    assert len(sheet.tree.find("main")[0].find("p")) >= 2
    assert sheet.links["To Off central"] == "/"


@pytest.mark.parametrize(("url", "status", "words"), ERRORS)
def test_inside_htmx_it_is_an_alert_without_a_page_around_it(
    technician: User, url: str, status: int, words: str
) -> None:
    part = fragment(technician, url)
    assert part.status == status
    (alert,) = part.tree.find("div", role="alert")
    assert alert.words.startswith(words)
    assert "<html" not in part.html


@pytest.mark.parametrize(("url", "status", "words"), ERRORS)
def test_nothing_of_the_inside_is_shown(
    technician: User, url: str, status: int, words: str
) -> None:
    sheet = open_page(technician, url)
    assert SECRET not in sheet.html
    assert "Traceback" not in sheet.html


def test_whoever_is_not_signed_in_gets_an_error_page_too() -> None:
    assert open_page(None, "/nowhere/").status == 404
    assert open_page(None, "/break-down/").status == 500


@pytest.mark.parametrize("url", ["/break-down/", "/lose-database/"])
def test_a_breakdown_shows_the_reference_that_the_log_has(
    technician: User, caplog: pytest.LogCaptureFixture, url: str
) -> None:
    with caplog.at_level(logging.ERROR):
        words = open_page(technician, url).words
    (shown,) = re.findall(r"Reference: ([0-9a-f]{8})", words)
    logged = [record.getMessage() for record in caplog.records if record.name == errors.__name__]
    assert logged == [f"A page failed; reference {shown}"]
    assert any(record.exc_info for record in caplog.records)


def test_two_breakdowns_have_two_references(technician: User) -> None:
    pages = [open_page(technician, "/break-down/").words for _ in range(2)]
    assert len({re.findall(r"Reference: (\w+)", words)[0] for words in pages}) == 2


def form_without_key(**headers: Any) -> Sheet:
    """Send a form whose key is missing, as after signing in again in another window."""
    browser = Client(enforce_csrf_checks=True)
    return Sheet(browser.post("/account/sign-in/", {"username": "x"}, headers=headers))


def test_a_stale_form_says_to_load_the_page_again() -> None:
    sheet = form_without_key()
    assert (sheet.status, sheet.heading) == (
        403,
        "This form was open for too long, or in a window that was signed out.",
    )
    assert "Go back, load the page again and send the form once more." in sheet.words


def test_a_stale_form_inside_htmx_is_answered_with_a_fragment() -> None:
    assert "<html" not in form_without_key(**HTMX).html


def test_a_form_with_mistakes_is_422_so_that_htmx_and_tools_see_the_difference(
    technician: User,
) -> None:
    sheet = Sheet(signed_in(technician).post("/account/", {"email": "x"}, headers=HTMX))
    assert sheet.status == 422
    assert "Enter a valid email address." in sheet.errors


def test_htmx_is_told_to_show_errors_and_to_run_nothing_from_strings(technician: User) -> None:
    (config,) = open_page(technician, "/").tree.find("meta", name="htmx-config")
    told = config.attributes["content"]
    assert '"allowEval": false' in told
    assert '{"code": "422", "swap": true}' in told


@pytest.mark.parametrize("url", ["/", "/properties/", "/faults/"])
def test_htmx_after_the_session_ended_goes_to_sign_in_as_a_whole_page(url: str) -> None:
    part = fragment(None, f"{url}?q=lawn")
    assert part.html == ""
    assert part.response.headers["HX-Redirect"] == f"/account/sign-in/?next={url}%3Fq%3Dlawn"


def test_after_signing_in_again_the_page_that_was_open_comes_back_and_not_its_part() -> None:
    opened = "http://testserver/properties/zzzzzzzzzz/?controllers=2"
    answer = Client().get(
        "/properties/zzzzzzzzzz/plan/", headers={**HTMX, "HX-Current-URL": opened}
    )
    onward = answer.headers["HX-Redirect"].partition("?next=")[2]
    assert onward == "/properties/zzzzzzzzzz/%3Fcontrollers%3D2"


def test_a_host_that_is_not_ours_is_refused() -> None:
    answer = Client(raise_request_exception=False).get("/", headers={"host": "elsewhere.example"})
    assert answer.status_code == 400


@pytest.mark.parametrize("address", ["/", "/account/", "/healthz"])
def test_a_database_that_is_down_is_503_and_one_line_in_the_log(
    address: str, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    browser = signed_in(make.user(Role.OWNER))
    browser.raise_request_exception = False

    def refuse(*args: Any) -> None:
        raise OperationalError("connection refused\n  Is the server running?")

    with connection.execute_wrapper(refuse):
        answer = browser.get(address)
    assert answer.status_code == 503
    if address == "/healthz":
        return
    assert int(answer.headers["Retry-After"]) > 0
    assert "The database does not answer." in answer.content.decode()
    (told,) = [each for each in caplog.records if each.name == "django.request"]
    words = "connection refused Is the server running?"
    assert told.getMessage() == f"Service Unavailable: {address}: {words}"
    assert told.exc_info is None


def test_another_failure_keeps_its_traceback(caplog: pytest.LogCaptureFixture) -> None:
    browser = Client(raise_request_exception=False)
    assert browser.get("/break-down/").status_code == 500
    (told,) = [each for each in caplog.records if each.name == "django.request"]
    assert told.exc_info
