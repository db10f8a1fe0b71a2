"""The folder of central's lists: each whole file is taken in once, by one worker.

The rules are ours: common practice, no source.
"""

import os
import threading
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from django.db import connection, connections

from sites.kernel.engines.roles import Role
from sites.models import CentralFile, CentralFolder, CentralList, StandingDifference
from sites.reconcile.services.folder import read_central_folder
from sites.reconcile.services.folder_files import (
    CLOCKS_DIFFER_S,
    DONE,
    QUIET_FOR,
    UnableToReadFolder,
)
from tests import make
from tests.services.reconcile.laid import later, lay, look, names
from tests.services.reconcile.office import AGREED, OFF, Office, without

pytestmark = pytest.mark.django_db


def test_two_lists_are_taken_in_and_moved_away(folder: Path) -> None:
    lay(folder, *AGREED, name="a.csv", hours=2)
    lay(folder, *without(2, "Fern Row,A,2,no"), name="b.csv", hours=1)
    assert look() == {"settled": 0, "read": 2}
    assert names(folder / DONE) == ["a.csv", "b.csv"]
    assert [each.filename for each in CentralList.objects.order_by("pk")] == ["a.csv", "b.csv"]
    first, second = CentralFile.objects.order_by("pk")
    assert first.counts == {"listed": 3, "open": 0, "new": 0, "gone": 0, "foreign": 0}
    assert second.counts == {"listed": 3, "open": 1, "new": 1, "gone": 0, "foreign": 0}
    assert [row.difference for row in StandingDifference.objects.all()] == [OFF]


def test_the_file_that_was_written_last_is_taken_in_last(folder: Path) -> None:
    lay(folder, *AGREED, name="z.csv", hours=2)
    lay(folder, *without(2, "Fern Row,A,2,no"), name="a.csv", hours=1)
    look()
    assert StandingDifference.objects.count() == 1


def test_what_went_away_is_said(folder: Path) -> None:
    lay(folder, *without(2, "Fern Row,A,2,no"), name="a.csv", hours=2)
    lay(folder, *AGREED, name="b.csv", hours=1)
    look()
    assert [each.counts["gone"] for each in CentralFile.objects.order_by("pk")] == [0, 1]


def test_a_list_without_properties_goes_to_the_one_that_has_the_controller(folder: Path) -> None:
    """As the upload has it."""
    (folder / "list.csv").write_text("controller,station number,enabled\nA,1,no\nA,2,no\nA,3,yes")
    look()
    assert CentralFile.objects.get().counts["new"] == 1


def test_without_a_folder_nothing_is_looked_for(folder: Path, settings: Any) -> None:
    lay(folder, *AGREED)
    settings.CENTRAL_FOLDER = None
    assert look() == {"settled": 0}
    assert CentralFolder.objects.count() == 0


@pytest.mark.parametrize(
    ("seconds", "came"), [(QUIET_FOR.seconds - 2, "not whole yet"), (QUIET_FOR.seconds + 2, "read")]
)
def test_a_file_rests_before_it_is_read(folder: Path, seconds: int, came: str) -> None:
    lay(folder, *AGREED)
    assert look(later(seconds))[came] == 1
    assert CentralFolder.objects.get().waiting == (came == "not whole yet")


def test_a_copy_that_sets_its_time_back_while_it_writes_is_left_too(folder: Path) -> None:
    lay(folder, *AGREED, hours=48)
    assert look(later(1))["not whole yet"] == 1


def test_a_file_that_grows_while_it_is_read_is_left(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, real, calls = lay(folder, *AGREED), os.fstat, Counter[str]()

    def fstat(handle: int) -> os.stat_result:
        calls["all"] += 1
        if calls["all"] == 2:
            with path.open("a") as more:
                more.write("\nFern Row,A,4,yes")
        return real(handle)

    monkeypatch.setattr("sites.reconcile.services.folder_files.os.fstat", fstat)
    came = look()
    assert CentralFile.objects.count() == came.get("read", 0) == 0
    assert path.exists()


@pytest.mark.parametrize("ahead", [CLOCKS_DIFFER_S + 120, 3600 * 24 * 365])
def test_a_time_of_the_far_future_does_not_keep_a_file_for_ever(folder: Path, ahead: int) -> None:
    lay(folder, *AGREED, hours=-ahead / 3600)
    assert look()["read"] == 1


def test_the_same_file_is_not_read_twice_and_one_written_anew_is(folder: Path) -> None:
    path = lay(folder, *AGREED, hours=3)
    told = path.stat()
    look()
    lay(folder, *AGREED, name="again.csv")
    os.utime(folder / "again.csv", ns=(told.st_atime_ns, told.st_mtime_ns))
    assert look() == {"settled": 0, "read before": 1}
    lay(folder, *AGREED, hours=2)
    assert look() == {"settled": 0, "read": 1}
    assert CentralList.objects.count() == 2


def test_two_files_of_one_name_and_second_lie_side_by_side(folder: Path) -> None:
    at = later()
    for hours in (2, 1):
        lay(folder, *AGREED, hours=hours)
        look(at)
    assert names(folder / DONE) == ["(2) central.csv", "central.csv"]


def test_what_cannot_be_moved_is_told_and_not_read_again(folder: Path) -> None:
    lay(folder, *AGREED, hours=1)
    (folder / DONE).write_text("a file in the folder's place")
    for _ in range(2):
        with pytest.raises(UnableToReadFolder, match="cannot be moved"):
            look()
    assert CentralList.objects.count() == 1
    assert "cannot be moved" in CentralFolder.objects.get().problem


def test_a_folder_that_is_not_there_is_told_and_not_made(
    folder: Path, settings: Any, tmp_path: Path
) -> None:
    settings.CENTRAL_FOLDER = tmp_path / "gone"
    with pytest.raises(UnableToReadFolder, match="is not there"):
        look()
    assert not settings.CENTRAL_FOLDER.exists()
    assert "is not there" in CentralFolder.objects.get().problem
    settings.CENTRAL_FOLDER = folder
    look()
    assert CentralFolder.objects.get().problem == ""


def test_files_wait_until_the_user_is_one_who_may(folder: Path, settings: Any) -> None:
    path = lay(folder, *AGREED)
    settings.CENTRAL_FOLDER_USER = "nobody"
    with pytest.raises(UnableToReadFolder, match="No user nobody"):
        look()
    settings.CENTRAL_FOLDER_USER = make.user(Role.TECHNICIAN).username
    with pytest.raises(UnableToReadFolder, match="may not reconcile"):
        look()
    assert path.exists()
    assert CentralFile.objects.count() == 0


def test_a_user_who_left_reads_nothing(folder: Path, office: Office) -> None:
    lay(folder, *AGREED)
    office.user.is_active = False
    office.user.save()
    with pytest.raises(UnableToReadFolder, match="No user"):
        look()


def test_rows_of_properties_that_are_not_the_users_are_counted_only(
    folder: Path, office: Office, settings: Any
) -> None:
    make.place(code="Gate")
    settings.CENTRAL_FOLDER_USER = make.user(Role.DISPATCHER, property=office.place).username
    lay(folder, *AGREED, "Gate,A,1,no")
    look()
    assert CentralFile.objects.get().counts == {
        "listed": 4, "open": 0, "new": 0, "gone": 0, "foreign": 1
    }  # fmt: skip


@pytest.mark.django_db(transaction=True)
def test_of_two_workers_at_once_one_reads(folder: Path, office: Office) -> None:
    lay(folder, *without(2, "Fern Row,A,2,no"), hours=1)
    at, came, failed = later(), list[dict[str, int]](), list[BaseException]()
    gate = threading.Barrier(2)

    def work() -> None:
        try:
            came.append(read_central_folder(at=at, go_on=lambda: gate.wait(10) and None))
        except UnableToReadFolder as error:
            failed.append(error)
        finally:
            connections.close_all()

    connection.close()
    workers = [threading.Thread(target=work) for _ in range(2)]
    for each in workers:
        each.start()
    for each in workers:
        each.join(60)
    assert [CentralList.objects.count(), StandingDifference.objects.count()] == [1, 1]
    assert names(folder / DONE) == ["central.csv"]
    assert failed == []
