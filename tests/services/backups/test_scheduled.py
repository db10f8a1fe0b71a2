"""The nightly backup: made and read back before old ones go; a failure deletes nothing."""

import os
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.db import connections

from faults.due.services.backups import back_up_and_tell, tell_owners
from faults.due.services.regular import BACKUP as ROUND
from faults.due.services.regular import do_round
from faults.models import Beat, OutgoingMail
from sites.backups.engines.archive import is_sealed
from sites.backups.services import backing_up, keys, restoring, scheduled
from sites.backups.services.backing_up import BACKUP, UnableToBackUp, back_up
from sites.backups.services.databases import UnableToDump
from sites.backups.services.keys import UnableToUseKey, backup_key, make_backup_key
from sites.backups.services.restoring import UnableToRestore, check_backup
from sites.backups.services.scheduled import back_up_as_scheduled, backups_now
from sites.kernel.engines.roles import Role
from sites.models import Run, RunState
from tests import make
from tests.services_real.needs import wait_until

pytestmark = pytest.mark.django_db

NIGHT = datetime(2026, 11, 2, 1, 50, tzinfo=UTC)
ROWS = {"sites_station": 3}


@pytest.fixture(autouse=True)
def installation(
    tmp_path: Path, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> Iterator[dict[str, Any]]:
    """A folder of backups, some uploaded files, and a database that is dumped as three words.

    Real databases are backed up in `tests/services_real/test_backup.py`: inside the transaction of
    a test that cannot be done.
    """
    media = tmp_path / "state/media"
    media.mkdir(parents=True)
    (media / "photo.jpg").write_bytes(b"a photo")
    (tmp_path / "backups").mkdir()
    settings.MEDIA_ROOT, settings.BACKUP_FOLDER = media, tmp_path / "backups"
    settings.BACKUP_KEEP_DAYS, settings.BACKUP_KEEP_WEEKS = 2, 0
    world: dict[str, Any] = {"fails": None, "found": ROWS}

    def dump(to: Path) -> dict[str, int]:
        if world["fails"]:
            raise world["fails"]
        to.write_text("three words here")
        return ROWS

    monkeypatch.setattr(backing_up, "dump", dump)
    monkeypatch.setattr(restoring, "look_into", lambda _dumped, _vendor: world["found"])
    yield world
    # Nothing unsealed is left beside the uploaded files, whatever happened.
    assert [each.name for each in media.parent.iterdir()] == ["media"]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "backups"


def one_night(at: datetime) -> dict[str, int]:
    with time_machine.travel(at, tick=False):
        return back_up_as_scheduled(at=at, go_on=lambda: None)


def names(folder: Path) -> list[str]:
    return sorted(each.name for each in folder.iterdir())


def test_each_night_makes_one_and_the_oldest_goes(folder: Path) -> None:
    told = [one_night(NIGHT + timedelta(days=n)) for n in range(3)]
    assert [each["deleted"] for each in told] == [0, 0, 1]
    assert told[2] == {"rows": 3, "files": 1, "deleted": 1}
    assert names(folder) == [
        "rejoin-2026-11-03T01-50-00Z.tar",
        "rejoin-2026-11-04T01-50-00Z.tar",
    ]


def test_what_does_not_carry_the_schedules_names_is_never_deleted(folder: Path) -> None:
    mine = ["by-hand.tar", "rejoin-2020-01-01.tar", "xrejoin-2020-01-01T00-00-00Z.tar"]
    for name in mine:
        (folder / name).write_bytes(b"dear")
    for n in range(4):
        one_night(NIGHT + timedelta(days=n))
    assert set(mine) < set(names(folder))
    assert len(names(folder)) == len(mine) + 2


def test_one_that_cannot_be_read_back_is_removed_and_the_old_ones_stay(
    folder: Path, installation: dict[str, Any]
) -> None:
    for n in range(2):
        one_night(NIGHT + timedelta(days=n))
    before = names(folder)
    installation["found"] = {"sites_station": 2}
    with pytest.raises(UnableToBackUp, match=r"removed. The table sites_station in it holds 2"):
        one_night(NIGHT + timedelta(days=2))
    assert names(folder) == before
    kept = Run.objects.filter(service=BACKUP).order_by("pk").last()
    assert kept is not None
    assert (kept.state, "there were 3" in kept.problem) == (RunState.FAILED, True)


def test_without_a_folder_nothing_is_done(settings: Any, folder: Path) -> None:
    settings.BACKUP_FOLDER = None
    assert one_night(NIGHT) == {}
    assert names(folder) == []
    assert not Run.objects.exists()


def test_a_folder_that_is_not_mounted_is_not_made(settings: Any, tmp_path: Path) -> None:
    settings.BACKUP_FOLDER = tmp_path / "mnt"
    with pytest.raises(UnableToBackUp, match="is not there: make it, or mount"):
        one_night(NIGHT)
    assert not (tmp_path / "mnt").exists()


def test_what_a_killed_backup_left_goes_after_a_day(folder: Path, settings: Any) -> None:
    scratch = Path(settings.MEDIA_ROOT).parent
    old = [folder / ".rejoin-2026-11-01T01-50-00Z.tar.part", scratch / "rejoin-backup-abc/db"]
    young = [folder / ".rejoin-2026-11-02T01-00-00Z.tar.part", scratch / "rejoin-restore-new/db"]
    for path, age in [*((each, 24.01) for each in old), *((each, 24) for each in young)]:
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(b"half")
        moment = (NIGHT - timedelta(hours=age)).timestamp()
        for each in [path, path.parent]:
            if each not in (folder, scratch):
                os.utime(each, (moment, moment))
    one_night(NIGHT)
    assert [path.exists() for path in [*old, *young]] == [False, False, True, True]
    young[1].unlink()
    young[1].parent.rmdir()


def test_with_a_key_it_is_sealed_and_opens_with_it(
    folder: Path, settings: Any, tmp_path: Path
) -> None:
    settings.BACKUP_KEY_FILE = tmp_path / "key"
    make_backup_key(tmp_path / "key")
    make_backup_key(tmp_path / "other")
    one_night(NIGHT)
    (path,) = folder.iterdir()
    assert is_sealed(path)
    assert b"three words" not in path.read_bytes()
    assert check_backup(path).rows == 3
    with pytest.raises(UnableToRestore, match="sealed with another key"):
        check_backup(path, key_file=tmp_path / "other")
    settings.BACKUP_KEY_FILE = None
    with pytest.raises(UnableToRestore, match="no key was given"):
        check_backup(path)
    assert check_backup(path, key_file=tmp_path / "key").files == 1
    last = backups_now(at=NIGHT).last
    assert last is not None
    assert last.result["sealed"] is True


@pytest.mark.parametrize(
    ("mode", "text", "words"),
    [
        (0o604, "ab" * 32, "Everybody on this machine may read"),
        (0o602, "ab" * 32, "Everybody on this machine may read"),
        (0o600, "ab" * 31, "holds no key of backups"),
        (0o600, "", "holds no key of backups"),
    ],
)
def test_a_key_that_is_none_or_everybodys_is_refused(
    tmp_path: Path, settings: Any, folder: Path, mode: int, text: str, words: str
) -> None:
    settings.BACKUP_KEY_FILE = tmp_path / "key"
    (tmp_path / "key").write_text(text)
    (tmp_path / "key").chmod(mode)
    with pytest.raises(UnableToBackUp, match=words):
        one_night(NIGHT)
    assert names(folder) == []


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o440])
def test_a_key_may_be_its_groups(tmp_path: Path, mode: int) -> None:
    (tmp_path / "key").write_text("ab" * 32)
    (tmp_path / "key").chmod(mode)
    assert backup_key(tmp_path / "key") == b"\xab" * 32


def test_a_key_is_made_once_and_never_over_another(tmp_path: Path) -> None:
    make_backup_key(tmp_path / "key")
    before = (tmp_path / "key").read_text()
    assert (tmp_path / "key").stat().st_mode & 0o777 == 0o600
    with pytest.raises(UnableToUseKey, match="is there already"):
        make_backup_key(tmp_path / "key")
    assert (tmp_path / "key").read_text() == before
    with pytest.raises(UnableToUseKey, match="cannot be written"):
        make_backup_key(tmp_path / "nowhere/key")
    with pytest.raises(UnableToUseKey, match="cannot be read"):
        keys.backup_key(tmp_path / "nowhere/key")


def test_a_name_that_is_taken_is_no_failure_of_backups(tmp_path: Path) -> None:
    (tmp_path / "mine.tar").write_bytes(b"dear")
    with pytest.raises(UnableToBackUp, match="choose another name"):
        back_up(tmp_path / "mine.tar", at=NIGHT)
    assert (tmp_path / "mine.tar").read_bytes() == b"dear"
    assert not Run.objects.exists()


def test_a_failed_round_is_mailed_once_a_day_and_tried_again(
    installation: dict[str, Any], folder: Path
) -> None:
    make.user(Role.OWNER, email="olive@example.org", language="es")
    make.user(Role.OWNER, email="otto@example.org")
    make.user(Role.OWNER, email="")
    make.user(Role.DISPATCHER, email="dan@example.org")
    installation["fails"] = UnableToDump("pg_dump: the server does not answer")
    for hours in (0, 1, 2):
        with (
            time_machine.travel(NIGHT + timedelta(hours=hours), tick=False),
            pytest.raises(UnableToBackUp),
        ):
            do_round(ROUND, at=NIGHT + timedelta(hours=hours))
    mails = OutgoingMail.objects.order_by("to")
    assert [mail.to for mail in mails] == ["olive@example.org", "otto@example.org"]
    assert "copia" in mails[0].subject
    assert "pg_dump: the server does not answer" in mails[1].text
    assert "/health/" in mails[1].text
    assert "pg_dump" in Beat.objects.get(name="backup").last_error
    installation["fails"] = None
    late = NIGHT + timedelta(hours=3)
    with time_machine.travel(late, tick=False):
        assert do_round(ROUND, at=late) == {"rows": 3, "files": 1, "deleted": 0}
        assert do_round(ROUND, at=late) is None
    assert len(names(folder)) == 1
    assert backups_now(at=late).failed is None
    tell_owners("again", at=NIGHT + timedelta(days=1))
    assert OutgoingMail.objects.count() == 4


def test_a_full_disk_is_told_and_leaves_nothing(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_number: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(UnableToBackUp, match="No space left"):
        back_up_and_tell(at=NIGHT, go_on=lambda: None)
    assert names(folder) == []
    assert backups_now(at=NIGHT).failed is not None


def test_a_long_backup_tells_that_it_is_alive(
    monkeypatch: pytest.MonkeyPatch, installation: dict[str, Any]
) -> None:
    told: list[int] = []
    monkeypatch.setattr(scheduled, "_ALIVE_EVERY_S", 0.01)
    monkeypatch.setattr(connections, "close_all", lambda: None)

    def dump(to: Path) -> dict[str, int]:
        wait_until(lambda: len(told) >= 3, what="a third word")
        to.write_text("three words here")
        return ROWS

    monkeypatch.setattr(backing_up, "dump", dump)
    assert back_up_as_scheduled(at=NIGHT, go_on=lambda: told.append(1))["rows"] == 3
    after = len(told)
    time.sleep(0.05)
    assert len(told) == after >= 3


@pytest.mark.parametrize(
    ("has_folder", "age", "is_old"),
    [
        (True, timedelta(hours=36), False),
        (True, timedelta(hours=36, seconds=1), True),
        (False, timedelta(hours=36, seconds=1), False),
        (False, timedelta(days=7), False),
        (False, timedelta(days=7, seconds=1), True),
    ],
)
def test_the_newest_is_too_old_by_the_schedule_or_by_a_week(
    settings: Any, tmp_path: Path, has_folder: bool, age: timedelta, is_old: bool
) -> None:
    settings.BACKUP_FOLDER = tmp_path / "backups" if has_folder else None
    with time_machine.travel(NIGHT - age, tick=False):
        for n in (2, 1):
            back_up(tmp_path / f"{n}.tar", at=NIGHT - age)
    assert backups_now(at=NIGHT).is_old is is_old
