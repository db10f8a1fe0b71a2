"""The owner's page of how the service runs, and the health check for monitoring."""

from datetime import datetime, timedelta
from pathlib import Path
from time import monotonic
from typing import Any

import pytest

from faults.due.services import health
from faults.models import Beat, OutgoingMail
from sites.backups.services.backing_up import BACKUP
from sites.backups.services.scheduled import OLD_AFTER, OLD_AFTER_ON_SCHEDULE
from sites.kernel.views import limits
from sites.models import Run, RunState
from tests import make_due
from tests.cast import Cast
from tests.make import NOW
from tests.web.pages import open_page, send, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

# A port on which nobody listens, and an address that never answers (RFC 5737).
REFUSES, SILENT = "redis://127.0.0.1:1/0", "redis://192.0.2.1:6379/0"


def test_without_a_queue_it_tells_of_cron(cast: Cast) -> None:
    sheet = open_page(cast.owner, "/health/")
    assert "manage.py run_due" in sheet.panel("queue")
    assert sheet.column(0, "rounds") == [
        *("runs", "waits", "water", "central's lists", "rounds", "summaries", "report series"),
        *("reports compared", "kept answers"),
        *("follow-ups", "digests", "mail", "programs told", "tidying", "learning", "backup"),
    ]
    assert set(sheet.column(2, "rounds")) == {"never"}
    assert "No round has ever run" in sheet.panel("rounds")


def test_an_end_in_the_future_is_shown_as_the_clocks_mistake(cast: Cast) -> None:
    Beat.objects.create(name="mail", began_at=NOW, ended_at=NOW + timedelta(days=31))
    sheet = open_page(cast.owner, "/health/")
    assert "the clock of this machine ran ahead" in sheet.panel("rounds")
    rows = {row[0]: row for row in sheet.rows("rounds")}
    assert rows["mail"][2].endswith("in the future")
    assert "No round has ever run" not in sheet.panel("rounds")


def test_a_round_shows_what_it_did_and_its_last_error(cast: Cast) -> None:
    Beat.objects.create(
        name="follow-ups", began_at=NOW, ended_at=NOW, did={"raised": 3, "moved": 1}
    )
    Beat.objects.create(name="mail", began_at=NOW, failed_at=NOW, last_error="OSError: full")
    rows = {row[0]: row for row in open_page(cast.owner, "/health/").rows("rounds")}
    assert rows["follow-ups"][3] == "3 raised, 1 moved"
    assert "late" not in rows["follow-ups"][2]
    assert "OSError: full" in rows["mail"][4]


def test_a_mail_that_was_given_up_is_tried_again_at_one_tap(cast: Cast) -> None:
    mail = make_due.mail(given_up_at=NOW, tries=8, last_error="refused")
    make_due.mail(tries=2, last_error="try later", next_try_at=NOW + timedelta(minutes=8))
    sheet = open_page(cast.owner, "/health/")
    assert "1 mail waits" in sheet.panel("mails")
    assert "tried 2 times" in sheet.panel("mails")
    sheet = send(cast.owner, f"/health/mails/{mail.pk}/again/")
    assert "tried again" in sheet.messages[0]
    kept = OutgoingMail.objects.get(pk=mail.pk)
    assert (kept.given_up_at, kept.tries, kept.next_try_at) == (None, 0, NOW)


@pytest.mark.parametrize("url", [REFUSES, SILENT])
def test_a_queue_that_is_gone_is_told_without_a_long_wait(
    cast: Cast, settings: Any, url: str
) -> None:
    settings.REDIS_URL = url
    began = monotonic()
    words = open_page(cast.owner, "/health/").panel("queue")
    answer = signed_in(None).get("/healthz")
    assert "does not answer" in words
    assert (answer.status_code, answer.content) == (503, b"not well\n")
    assert monotonic() - began < 5


def test_people_get_in_while_the_queue_is_gone(settings: Any) -> None:
    settings.REDIS_URL = REFUSES
    limits._storage.cache_clear()
    try:
        answer = signed_in(None).post("/account/sign-in/", {"username": "x", "password": "y"})
    finally:
        limits._storage.cache_clear()
    assert answer.status_code == 200


def test_healthz_says_ok_to_anybody_and_no_more() -> None:
    answer = signed_in(None).get("/healthz")
    assert (answer.status_code, answer.content) == (200, b"ok\n")
    assert "no-store" in answer.headers["Cache-Control"]


def test_healthz_says_so_when_the_database_is_gone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(health, "is_database_there", lambda: False)
    assert signed_in(None).get("/healthz").status_code == 503


def test_nobody_but_the_owner_reads_it(cast: Cast) -> None:
    assert open_page(cast.dispatcher, "/health/").status == 403


def a_backup(ended_at: datetime, **given: Any) -> Run:
    """A backup that was made then, and not encrypted."""
    result = {"name": "one.tar", "size": 10, "rows": 1234, "files": 5, "sealed": False}
    return Run.objects.create(
        service=BACKUP,
        title="Backup",
        asked_at=NOW,
        ended_at=ended_at,
        result=result,
        **{"state": RunState.DONE, **given},
    )


def test_the_last_backup_and_when_it_is_too_old(cast: Cast) -> None:
    assert "None was made yet. Name a folder" in open_page(cast.owner, "/health/").panel("backup")
    made = a_backup(NOW - OLD_AFTER)
    said = open_page(cast.owner, "/health/").panel("backup")
    assert "ago) and read back: one.tar, 1,234 rows, 5 files. It is not encrypted." in said
    assert "more than a week" not in said
    Run.objects.filter(pk=made.pk).update(ended_at=NOW - OLD_AFTER - timedelta(seconds=1))
    assert "That is more than a week ago." in open_page(cast.owner, "/health/").panel("backup")


def test_a_schedule_is_told_and_warns_sooner(cast: Cast, settings: Any, tmp_path: Path) -> None:
    settings.BACKUP_FOLDER, settings.BACKUP_KEEP_DAYS = tmp_path, 9
    said = open_page(cast.owner, "/health/").panel("backup")
    assert "None was made yet. The next round makes one." in said
    assert f"each night into {tmp_path}. Of the last 9 days and 8 weeks" in said
    assert "make_backup_key" in said
    settings.BACKUP_KEY_FILE = tmp_path / "key"
    made = a_backup(NOW - OLD_AFTER_ON_SCHEDULE)
    said = open_page(cast.owner, "/health/").panel("backup")
    assert "make_backup_key" not in said
    assert "hours ago, and one is due" not in said
    older = NOW - OLD_AFTER_ON_SCHEDULE - timedelta(seconds=1)
    Run.objects.filter(pk=made.pk).update(ended_at=older)
    said = open_page(cast.owner, "/health/").panel("backup")
    assert "That is more than 36 hours ago, and one is due each night" in said


def test_a_try_that_failed_is_told_until_one_went_well(cast: Cast) -> None:
    a_backup(NOW - timedelta(hours=2))
    a_backup(NOW, state=RunState.FAILED, problem="The disk is full.")
    said = open_page(cast.owner, "/health/").panel("backup")
    assert "The last try failed on" in said
    assert "The disk is full." in said
    a_backup(NOW)
    assert "failed" not in open_page(cast.owner, "/health/").panel("backup")
