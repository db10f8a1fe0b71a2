"""A mail when something breaks: once of a kind, and with nothing that anybody typed."""

import json
import logging
import logging.config
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
import time_machine
from celery.signals import after_setup_logger
from django.core import mail
from django.db import OperationalError

from faults.due.services import regular
from faults.due.services.regular import QUARTER, Round
from sites.project.environment import ErrorMailSettings
from sites.project.error_mail import (
    EVERY_S,
    FILE,
    SECRET_PARTS,
    ErrorMail,
    ToldLately,
    handler_of,
)
from sites.project.logs import logging_settings
from tests.cast import Cast
from tests.make import NOW
from tests.web.addresses import PUBLIC, every_address
from tests.web.pages import signed_in

pytestmark = pytest.mark.django_db

TYPED = "seven dry lawns"
TO = ["ops@example.org", "second@example.org"]


@pytest.fixture(autouse=True)
def handler(tmp_path: Path) -> Iterator[ErrorMail]:
    """Errors are mailed as in production."""
    told = handler_of(logging_settings(as_json=True, mail=ErrorMailSettings(TO, tmp_path)))
    assert told is not None
    root = logging.getLogger()
    root.handlers.insert(0, told)
    with time_machine.travel(NOW, tick=False):
        yield told
    root.removeHandler(told)


@pytest.fixture
def broken(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every page breaks, with an error that quotes what was typed."""

    def fail(_self: object, request: Any, *_view: object) -> None:
        quoted = request.POST.get("password", "") + request.GET.get("q", "")
        try:
            raise KeyError(quoted)
        except KeyError as error:
            raise ValueError(f"{quoted} will not do") from error

    monkeypatch.setattr("sites.people.views.guard.DoorMiddleware.process_view", fail)


def letter() -> str:
    """Return the one mail that was sent, whole."""
    (sent,) = mail.outbox
    return f"{sent.subject}\n{sent.body}"


@pytest.mark.usefixtures("broken")
def test_it_says_where_in_the_program_which_page_who_and_by_which_id(cast: Cast) -> None:
    answer = signed_in(cast.owner).get("/due/")
    (sent,) = mail.outbox
    assert answer.status_code == 500
    assert sent.to == TO
    assert sent.subject.startswith("Rejoin: ValueError in tests/web/kernel/test_error_mail.py:")
    assert f"id:       {answer.headers['X-Request-ID']}\n" in sent.body
    assert f"page:     GET /due/\nuser:     {cast.owner.pk}\n" in sent.body
    cause, error = sent.body.split("After that:")
    assert "in fail\n    raise KeyError(quoted)\nKeyError\n" in cause
    assert error.count("raise ValueError(") == error.count("\nValueError\n") == 1


@pytest.mark.usefixtures("broken")
def test_nothing_that_was_typed_and_no_cookie_is_in_it(
    cast: Cast, caplog: pytest.LogCaptureFixture
) -> None:
    client = signed_in(cast.owner)
    client.post(
        f"/account/password/?q={TYPED.replace(' ', '+')}",
        {"password": TYPED, "notes": "by the gate"},
        headers={"Authorization": "Bearer abc-of-a-program"},
    )
    text = letter()
    assert "page:     POST /account/password/\n" in text
    cookie = client.cookies["sessionid"].value
    for word in (TYPED, "seven", "by the gate", "abc-of-a-program", cookie, cast.owner.username):
        assert word not in text
    # The log has the words.
    assert TYPED in caplog.text


@pytest.mark.usefixtures("broken")
@pytest.mark.parametrize(
    ("path", "told"),
    [
        ("/calendar/some-secret.ics", "/calendar/<secret>.ics"),
        ("/account/forgotten/Mg/some-secret/", "/account/forgotten/<uidb64>/<token>/"),
        ("/account/invited/some-secret/", "/account/invited/<token>/"),
    ],
)
def test_an_address_that_lets_its_reader_in_is_told_without_that(path: str, told: str) -> None:
    signed_in(None).get(path)
    assert f"page:     GET {told}\nuser:     not signed in\n" in letter()
    assert "some-secret" not in letter()


@pytest.mark.parametrize(
    ("path", "told"),
    [
        ("/calendar/some-secret.ics", "/calendar/<secret>.ics"),
        ("/calendr/some-secret.ics", "(an address that leads nowhere)"),
    ],
)
def test_so_it_is_where_it_broke_before_the_page_was_found(
    cast: Cast, monkeypatch: pytest.MonkeyPatch, path: str, told: str
) -> None:
    monkeypatch.setattr("sites.people.views.guard.keep_sign_in", lambda *_both: 1 / 0)
    signed_in(cast.owner).get(path)
    assert f"page:     GET {told}\nuser:     {cast.owner.pk}\n" in letter()
    assert "some-secret" not in letter()


def test_every_address_that_lets_its_reader_in_is_known_by_its_part() -> None:
    opened = [each for each in every_address() if each.name in PUBLIC and each.keys]
    assert len(opened) > 4
    for each in opened:
        assert {name for _before, name in each.keys} & SECRET_PARTS, each.name


@pytest.mark.usefixtures("broken")
def test_of_one_kind_there_is_one_in_a_quarter_of_an_hour() -> None:
    def sent_after(seconds: float) -> int:
        with time_machine.travel(NOW + timedelta(seconds=seconds), tick=False):
            signed_in(None).get("/account/sign-in/")
        return len(mail.outbox)

    assert [sent_after(at) for at in (0, 1, EVERY_S - 1, EVERY_S, EVERY_S + 1)] == [1, 1, 1, 2, 2]


def test_another_kind_is_told_at_once(handler: ErrorMail) -> None:
    for _again in range(2):
        for wrong in (lambda: 1 / 0, lambda: {}["x"]):
            try:
                wrong()
            except Exception:
                logging.getLogger("sites.test").exception("Something broke")
    kinds = [sent.subject.split()[1] for sent in mail.outbox]
    assert kinds == ["ZeroDivisionError", "KeyError"]
    assert "work:     Something broke\n" in mail.outbox[0].body


def test_what_ends_in_the_same_library_is_told_by_the_line_of_ours() -> None:
    for load in (_first, _second, _first, _second):
        load()
    assert len({sent.subject for sent in mail.outbox}) == len(mail.outbox) == 2
    for sent in mail.outbox:
        assert "JSONDecodeError in tests/web/kernel/test_error_mail.py:" in sent.subject


def _first() -> None:
    try:
        json.loads("{")
    except ValueError:
        logging.getLogger("sites.test").exception("Something broke")


def _second() -> None:
    try:
        json.loads("{")
    except ValueError:
        logging.getLogger("sites.test").exception("Something broke")


def test_all_trouble_of_the_database_is_one_kind() -> None:
    for wrong in ("first", "second"):
        try:
            raise OperationalError(wrong)
        except OperationalError:
            logging.getLogger("django.request").exception("Page %s", wrong)
    assert "work:     django.request\n" in letter()


def test_two_processes_at_once_tell_of_it_once(tmp_path: Path) -> None:
    now, file = NOW.timestamp(), tmp_path / "at once.json"
    for kind in ("one", "two"):
        # Each has a memory of its own, as a process has.
        with ThreadPoolExecutor(8) as pool:
            asked = [pool.submit(ToldLately(file).claim, kind, now=now) for _each in range(16)]
        assert sum(each.result() for each in asked) == 1


@pytest.mark.parametrize("text", ["", "{", "[1]", '{"one": 99999999999}'])
def test_what_a_full_disk_or_a_wrong_clock_left_in_the_file_hides_nothing(
    tmp_path: Path, text: str
) -> None:
    file = tmp_path / "left.json"
    file.write_text(text)
    assert [ToldLately(file).claim("one", now=NOW.timestamp()) for _again in range(2)] == [
        True,
        False,
    ]


def test_without_the_file_a_process_remembers_by_itself(tmp_path: Path) -> None:
    told = ToldLately(tmp_path / "nowhere" / FILE)
    now = NOW.timestamp()
    assert [told.claim("one", now=now + after) for after in (0, EVERY_S - 1, EVERY_S)] == [
        True,
        False,
        True,
    ]


@pytest.mark.usefixtures("broken")
def test_trouble_with_mail_is_a_line_of_the_log_and_the_page_is_answered(
    settings: Any, caplog: pytest.LogCaptureFixture
) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1
    answer = signed_in(None).get("/account/sign-in/")
    assert answer.status_code == 500
    assert "Reference" in answer.content.decode()
    assert "An error could not be mailed: ConnectionRefusedError" in caplog.text


def test_a_round_that_failed_is_told_by_its_name(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(**_how: Any) -> dict[str, int]:
        raise RuntimeError(TYPED)

    one = Round("failing", fail, QUARTER)
    monkeypatch.setattr(regular, "QUARTER_HOURLY", [one])
    regular.do_all_rounds(at=NOW)
    with pytest.raises(RuntimeError):
        regular.do_round(one, at=NOW)
    assert "work:     The round of failing failed\n" in letter()
    assert TYPED not in letter()


@pytest.mark.parametrize(
    ("name", "level", "has_error"),
    [
        ("django.security.DisallowedHost", logging.ERROR, True),  # strangers set these off
        ("django.request", logging.WARNING, True),
        ("sites", logging.ERROR, False),
    ],
)
def test_what_is_no_error_of_ours_is_not_mailed(name: str, level: int, has_error: bool) -> None:
    try:
        raise ValueError
    except ValueError:
        logging.getLogger(name).log(level, "a line", exc_info=has_error)
    assert mail.outbox == []


def test_a_worker_which_sets_up_a_log_by_itself_mails_too(settings: Any, tmp_path: Path) -> None:
    def handlers_of_a_worker() -> list[type]:
        logger = logging.Logger("worker")
        logger.addHandler(logging.StreamHandler())
        after_setup_logger.send(sender=None, logger=logger)
        return [type(each) for each in logger.handlers]

    assert handlers_of_a_worker() == [logging.StreamHandler]
    settings.LOGGING = logging_settings(as_json=False, mail=ErrorMailSettings(TO, tmp_path))
    assert handlers_of_a_worker() == [ErrorMail, logging.StreamHandler]


def test_where_nobody_is_named_nothing_is_mailed() -> None:
    told = logging_settings(as_json=False)
    assert handler_of(told) is None
    assert told["root"]["handlers"] == ["console"]


def test_the_setting_puts_it_before_the_console_which_takes_errors_off(tmp_path: Path) -> None:
    told = logging_settings(as_json=False, mail=ErrorMailSettings(TO, tmp_path))
    assert told["root"]["handlers"] == ["error mail", "console"]
    made = logging.config.DictConfigurator(told).configure_handler(told["handlers"]["error mail"])
    assert isinstance(made, ErrorMail)
