"""A backup made while people write is restored elsewhere: same rows and files, both engines."""

import hashlib
import os
import shutil
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import psycopg
import pytest
from django.db import connection

from sites.backups.engines.sealed import FRAME, HEAD_BYTES
from sites.kernel.services.migrated import fingerprint
from sites.kernel.services.migrated import folder as kept_folder
from tests.databases import create_from_template
from tests.services_real.postgres import in_database
from tests.services_real.worker import CHECKOUT

pytestmark = pytest.mark.service

WRITER = """
import itertools
import django
django.setup()
from sites.models import Client
for n in itertools.count():
    Client.objects.create(name=f"Client {n} of the writer")
"""

READ = """
from sites.models import Client
print("names", sorted(int(each.name.split()[1]) for each in Client.objects.all()))
"""


def manage(url: str, media: Path, *arguments: str, fails: bool = False) -> str:
    done = subprocess.run(
        [sys.executable, "manage.py", *arguments], cwd=CHECKOUT, env=environment(url, media),
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert bool(done.returncode) is fails, done.stdout + done.stderr[-3000:]
    return done.stdout + done.stderr


def environment(url: str, media: Path) -> dict[str, str]:
    return {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "sites.project.settings",
        "DATABASE_URL": url,
        "MEDIA_ROOT": str(media),
    }


def hashes(folder: Path) -> dict[str, str]:
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file()
    }


@pytest.fixture(params=["sqlite", "postgresql"])
def urls(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[tuple[str, str]]:
    """A migrated database, and an empty one of the same engine."""
    if request.param == "sqlite":
        yield migrated_sqlite(tmp_path), f"sqlite:///{tmp_path}/two.sqlite3"
        return
    cluster = request.getfixturevalue("postgres_url")
    names = ("backed_up", "restored")
    with closing(psycopg.connect(cluster, autocommit=True)) as server:
        here = create_from_template(cluster, "backed_up")
        server.execute("CREATE DATABASE restored")
        yield here, in_database(cluster, "restored")
        for name in names:
            server.execute(f"DROP DATABASE {name} WITH (FORCE)")


def migrated_sqlite(folder: Path) -> str:
    """Return the address of a migrated file: a copy of the cached one, where that is there."""
    url, cached = f"sqlite:///{folder}/one.sqlite3", kept_folder() / f"{fingerprint()}.sqlite3"
    if connection.vendor == "sqlite" and cached.exists():
        shutil.copyfile(cached, folder / "one.sqlite3")
    else:
        manage(url, folder, "migrate", "--verbosity", "0")
    return url


def test_backed_up_while_written_lost_and_restored(urls: tuple[str, str], tmp_path: Path) -> None:
    here, there = urls
    media, other = tmp_path / "media", tmp_path / "other"
    (media / "photos").mkdir(parents=True)
    for n in range(3):
        (media / "photos" / f"{n}.jpg").write_bytes(os.urandom(5000 + n))
    to = tmp_path / "one.tar"
    writer = subprocess.Popen(
        [sys.executable, "-c", WRITER], cwd=CHECKOUT, env=environment(here, media)
    )
    stop = threading.Timer(120, writer.kill)
    stop.start()
    try:
        said = manage(here, media, "backup", str(to))
    finally:
        stop.cancel()
        writer.kill()
        writer.wait()
    assert "Read back and found whole." in said
    assert "is there already" in manage(here, media, "backup", str(to), fails=True)
    # Nothing is written over what is there.
    assert "not empty" in manage(here, media, "restore", str(to), fails=True)
    assert "whole" in manage(there, other, "restore", str(to), "--check")
    assert not other.exists()
    assert "is restored" in manage(there, other, "restore", str(to))
    assert hashes(other) == hashes(media)
    assert "not empty" in manage(there, other, "restore", str(to), fails=True)
    # The same version has nothing to migrate, and the program works on it.
    assert "No migrations to apply" in manage(there, other, "migrate")
    names = manage(there, other, "shell", "-v", "0", "-c", READ).partition("names [")[2]
    kept = [int(each) for each in names.partition("]")[0].split(",") if each]
    # A snapshot: every one that the writer had finished, none after a gap.
    assert kept == list(range(len(kept)))


def test_a_damaged_backup_restores_nothing(tmp_path: Path) -> None:
    here = migrated_sqlite(tmp_path)
    there = f"sqlite:///{tmp_path}/two.sqlite3"
    to, media = tmp_path / "one.tar", tmp_path / "media"
    manage(here, media, "backup", str(to))
    whole = bytearray(to.read_bytes())
    whole[len(whole) // 2] ^= 1
    to.write_bytes(whole)
    for arguments in (["--check"], []):
        said = manage(there, tmp_path / "other", "restore", str(to), *arguments, fails=True)
        assert "damaged" in said
    assert not (tmp_path / "two.sqlite3").exists()
    assert [each for each in tmp_path.iterdir() if "restore" in each.name] == []


def test_a_sealed_backup_opens_with_its_key_alone(urls: tuple[str, str], tmp_path: Path) -> None:
    here, there = urls
    media, other, to = tmp_path / "media", tmp_path / "other", tmp_path / "one.tar"
    media.mkdir()
    (media / "1.jpg").write_bytes(os.urandom(2_500_000))
    for name in ("key", "wrong"):
        assert "keep a copy" in manage(here, media, "make_backup_key", str(tmp_path / name))
    with_key = ["--key-file", str(tmp_path / "key")]
    assert ", encrypted. Read back" in manage(here, media, "backup", str(to), *with_key)
    for wrong, words in (
        ([], "no key was given"),
        (["--key-file", str(tmp_path / "wrong")], "another key"),
    ):
        assert words in manage(there, other, "restore", str(to), *wrong, fails=True)
    whole = to.read_bytes()
    frame, half = FRAME + 16, len(whole) // 2
    second, third = HEAD_BYTES + frame, HEAD_BYTES + 2 * frame
    flipped = bytes([whole[half] ^ 1])
    for damaged in (
        whole[:-1],
        whole[:second],
        whole[:second] + whole[third:],
        whole[:HEAD_BYTES] + whole[second:third] + whole[HEAD_BYTES:second] + whole[third:],
        whole[:half] + flipped + whole[half + 1 :],
    ):
        to.write_bytes(damaged)
        assert "damaged" in manage(there, other, "restore", str(to), *with_key, fails=True)
        assert not other.exists()
    to.write_bytes(whole)
    assert "is restored" in manage(there, other, "restore", str(to), *with_key)
    assert hashes(other) == hashes(media)


def test_the_round_backs_up_each_engine_and_seals_it(
    urls: tuple[str, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    here, there = urls
    manage(here, tmp_path / "media", "make_backup_key", str(tmp_path / "key"))
    (tmp_path / "backups").mkdir()
    monkeypatch.setenv("BACKUP_FOLDER", str(tmp_path / "backups"))
    monkeypatch.setenv("BACKUP_KEY_FILE", str(tmp_path / "key"))
    said = manage(here, tmp_path / "media", "run_due")
    (made,) = (tmp_path / "backups").iterdir()
    assert "backup: " in said
    assert "rows" in said.partition("backup: ")[2].splitlines()[0]
    assert "is restored" in manage(there, tmp_path / "other", "restore", str(made))
    assert "backup: done already" in manage(here, tmp_path / "media", "run_due")
