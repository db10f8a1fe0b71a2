"""What an upgrade looks at, and what it says is wrong afterwards.

From a kept older schema, and its way back as printed, it is tried on both engines in
`tests/services_real/test_upgrade_command.py`.
"""

import shutil
from collections import namedtuple
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from django.db import OperationalError, connection

from sites.backups.services import before_upgrade, upgrading
from sites.backups.services.before_upgrade import Finding, look
from sites.backups.services.restoring import Kept
from sites.backups.services.upgrading import UpgradeFailed, upgrade
from sites.backups.services.way_back import way_back
from sites.models import Run
from tests.make import NOW

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("collected_static")]

BEFORE = {"sites_station": 3, "sites_leg": 2, "django_migrations": 90}
Usage = namedtuple("Usage", "total used free")


def found(to: Path, about: str, **more: Any) -> list[Finding]:
    return [each for each in look(to, workers=[], **more) if each.about == about]


@pytest.fixture
def after(monkeypatch: pytest.MonkeyPatch) -> dict[str, int]:
    """Rows of tables after the migration, to be changed by the test; before, they were BEFORE."""
    rows = dict(BEFORE)
    answers = iter([BEFORE, rows])

    def make_backup(to: Path, **_more: Any) -> Kept:
        return Kept(to, 10, 95, 0, NOW.isoformat(), connection.vendor, False)

    monkeypatch.setattr(upgrading, "make_backup", make_backup)
    monkeypatch.setattr(upgrading, "count_rows", lambda: next(answers))
    monkeypatch.setattr(upgrading, "call_command", lambda *_words, **_more: None)
    return rows


def tried(tmp_path: Path) -> list[str]:
    said: list[str] = []
    upgrade(tmp_path / "a.tar", at=NOW, say=said.append)
    return said


def test_all_as_before_is_well_and_noted(after: dict[str, int], tmp_path: Path) -> None:
    after["faults_new"] = 0
    said = tried(tmp_path)
    assert "3 of 4, rows: 2 tables compared, 1 new ones." in said
    assert "4 of 4, pages: /healthz and /account/sign-in/ were asked." in said
    assert Run.objects.get(service="backup").result["name"] == "a.tar"
    assert (tmp_path / "a.tar.way-back.sh").exists()


@pytest.mark.parametrize(("rows", "is_well"), [(4, True), (3, True), (2, False), (0, False)])
def test_a_row_less_than_before_is_a_failure(
    after: dict[str, int], tmp_path: Path, rows: int, is_well: bool
) -> None:
    after["sites_station"] = rows
    if is_well:
        tried(tmp_path)
        return
    with pytest.raises(UpgradeFailed, match=f"sites_station had 3 rows and has {rows}") as failed:
        tried(tmp_path)
    assert failed.value.file == tmp_path / "a.tar.way-back.sh"


def test_a_table_that_is_gone_is_said_and_the_frameworks_own_are_not_compared(
    after: dict[str, int], tmp_path: Path
) -> None:
    del after["sites_leg"]
    after["django_migrations"] = 1
    assert "  sites_leg is gone, with 2 rows: its migration says where they are." in tried(tmp_path)


def test_a_page_that_breaks_is_a_failure_with_a_hint(
    after: dict[str, int], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken() -> bool:
        raise RuntimeError("broken for the test")

    monkeypatch.setattr("faults.due.views.health.is_well", broken)
    with pytest.raises(UpgradeFailed, match=r"/healthz answers 500. Was collectstatic run\?$"):
        tried(tmp_path)


@pytest.mark.parametrize(("is_well", "is_failure"), [(True, False), (False, True)])
def test_a_service_that_is_not_well_is_a_failure(
    after: dict[str, int],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    is_well: bool,
    is_failure: bool,
) -> None:
    monkeypatch.setattr("faults.due.views.health.is_well", lambda: is_well)
    if not is_failure:
        tried(tmp_path)
        return
    with pytest.raises(UpgradeFailed, match=r"^/healthz answers 503\.$"):
        tried(tmp_path)


def test_what_breaks_while_it_is_tried_leads_to_the_way_back_too(
    after: dict[str, int], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(**_more: Any) -> None:
        raise OperationalError("no such\ncolumn" + "x" * 900)

    monkeypatch.setattr(upgrading, "rebuild_derived", broken)
    with pytest.raises(UpgradeFailed, match="Trying it failed: OperationalError: no such column"):
        tried(tmp_path)


def test_a_full_disk_stands_in_the_way(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert not any(each.is_problem for each in found(tmp_path / "a.tar", "space"))
    monkeypatch.setattr(shutil, "disk_usage", lambda _folder: Usage(10, 10, 0))
    spoken = [each for each in found(tmp_path / "a.tar", "space") if each.is_problem]
    assert spoken
    assert " 0 MB free, up to " in spoken[0].said


def test_workers_that_answer_stand_in_the_way(tmp_path: Path) -> None:
    told = look(tmp_path / "a.tar", workers=["celery@one", "celery@two"])
    (first, *_rest) = [each for each in told if each.about == "in use"]
    assert first == Finding("in use", "workers answer: celery@one, celery@two. Stop them", True)


def test_a_database_that_does_not_answer_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def gone() -> bool:
        raise OperationalError("connection\nrefused")

    monkeypatch.setattr(before_upgrade, "is_empty", gone)
    (told,) = found(tmp_path / "a.tar", "database")
    assert told == Finding("database", "does not answer: connection refused", True)


def test_an_empty_database_needs_no_upgrade(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(before_upgrade, "is_empty", lambda: True)
    (told,) = found(tmp_path / "a.tar", "database")
    assert told.is_problem
    assert "run migrate" in told.said


def test_the_way_back_holds_names_with_blanks_and_names_the_key_file(
    tmp_path: Path, settings: Any
) -> None:
    settings.MEDIA_ROOT = tmp_path / "the media"
    text = way_back(Path("/a b/c.tar"), at=NOW, key_file=Path("/etc/my key"))
    assert f"[ ! -e '{tmp_path}/the media' ] || mv '{tmp_path}/the media' '" in text
    assert "manage.py restore '/a b/c.tar' --key-file '/etc/my key'" in text
    assert text.index("set -e\n") < text.index("cd ") < text.index(" restore ")


def test_for_postgresql_it_renames_and_makes_anew_and_prints_no_password(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    told = {"NAME": "rejoin", "HOST": "db", "PORT": "5433", "USER": "pat", "PASSWORD": "hidden"}
    server = SimpleNamespace(vendor="postgresql", settings_dict=told)
    monkeypatch.setattr("sites.backups.services.way_back.connection", server)
    text = way_back(Path("/a.tar"), at=NOW)
    assert "--host=db --port=5433 --username=pat --dbname=postgres" in text
    assert 'ALTER DATABASE "rejoin" RENAME TO "rejoin_failed_20250615t170000z"' in text
    assert 'CREATE DATABASE "rejoin" OWNER "pat"' in text
    assert "hidden" not in text
