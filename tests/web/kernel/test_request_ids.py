"""Each request has an id: in the answer, in each line of its log, on the page of an error."""

import json
import logging
import logging.config
from io import StringIO
from typing import Any

import pytest
from django.db import OperationalError
from django.test import Client

from sites.kernel.services.request_ids import NONE, known_as, new_request_id, request_id
from sites.kernel.views import errors
from sites.project.logs import AsJson, WithRequest, formatter, logging_settings
from tests.web.pages import signed_in

pytestmark = pytest.mark.django_db
GIVEN = "0123456789abcdef0123456789abcdef"


def asked(**headers: str) -> str:
    return str(Client().get("/healthz", headers=headers).headers["X-Request-ID"])


def test_each_answer_says_an_id_of_its_own() -> None:
    first, second = asked(), asked()
    assert len(first) == 32
    assert first != second
    assert request_id() == NONE


@pytest.mark.parametrize(("proxies", "is_taken"), [(0, False), (1, True), (2, True)])
def test_an_id_is_taken_from_our_own_proxy_only(
    settings: Any, proxies: int, is_taken: bool
) -> None:
    settings.TRUSTED_PROXIES = proxies
    assert (asked(**{"X-Request-ID": GIVEN}) == GIVEN) is is_taken


@pytest.mark.parametrize(
    ("given", "is_taken"),
    [
        ("a" * 7, False),
        ("a" * 8, True),
        ("a" * 64, True),
        ("a" * 65, False),
        ("a" * 8 + "\n", False),
        ('"quoted-id"', False),
        ("", False),
    ],
)
def test_what_would_not_do_in_a_line_of_a_log_is_replaced(given: str, is_taken: bool) -> None:
    assert (new_request_id(given) == given) is is_taken


def one_line(as_json: bool, *, exc_info: Any = None, name: str = GIVEN) -> str:
    """Write one line as the product does, inside a request of this id."""
    out = StringIO()
    handler = logging.StreamHandler(out)
    handler.setFormatter(formatter(as_json=as_json))
    handler.addFilter(WithRequest())
    logger = logging.Logger("rejoin.test")
    logger.addHandler(handler)
    with known_as(name):
        logger.warning("half of %s\nis lost", "é", exc_info=exc_info)
    return out.getvalue()


def test_a_line_names_its_request() -> None:
    assert one_line(False).endswith(f"WARNING rejoin.test [{GIVEN}]: half of é\nis lost\n")


def test_as_json_it_is_one_line_with_its_parts() -> None:
    (line,) = one_line(True).splitlines()
    told = json.loads(line)
    assert told.pop("at").endswith("+00:00")
    assert told == {
        "level": "WARNING",
        "logger": "rejoin.test",
        "request": GIVEN,
        "message": "half of é\nis lost",
    }


def test_an_error_comes_with_its_traceback_on_the_same_line() -> None:
    try:
        raise ValueError("this one")
    except ValueError:
        (line,) = one_line(True, exc_info=True).splitlines()
    assert "ValueError: this one" in json.loads(line)["error"]


@pytest.mark.parametrize("as_json", [False, True])
def test_the_settings_of_logging_can_be_used(as_json: bool) -> None:
    told = logging_settings(as_json=as_json)
    made = logging.config.DictConfigurator(told)
    written = made.configure_formatter(told["formatters"]["line"])
    assert isinstance(written, AsJson) is as_json
    for each in told["filters"].values():
        assert made.configure_filter(each).filter(logging.makeLogRecord({"msg": "a line"}))


def test_the_page_of_an_error_and_its_line_say_the_same(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_args: Any, **_more: Any) -> None:
        raise RuntimeError("broken for the test")

    monkeypatch.setattr("faults.due.views.health.is_well", broken)
    client = signed_in(None)
    client.raise_request_exception = False
    answer = client.get("/healthz")
    name = answer.headers["X-Request-ID"]
    assert answer.status_code == 500
    assert f">{name[:8]}<" in answer.content.decode()
    assert f"A page failed; reference {name[:8]}" in caplog.text


def test_where_there_is_no_request_the_page_has_a_reference_all_the_same(rf: Any) -> None:
    try:
        raise RuntimeError("outside of all middleware")
    except RuntimeError:
        assert "Reference" in errors.broken(rf.get("/")).content.decode()
    try:
        raise OperationalError("gone")
    except OperationalError:
        assert errors.broken(rf.get("/")).status_code == 503
