"""`manage.py upgrade` from a kept older schema, on both engines; and its way back, as printed."""

import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

import psycopg
import pytest
from django.core.management import CommandError, call_command

from tests.kept_databases import VERSIONS, load_postgresql, load_sqlite
from tests.services_real.postgres import in_database
from tests.services_real.worker import CHECKOUT

pytestmark = pytest.mark.service
OLDEST = VERSIONS[0]
FAILING = "tests.settings_failing_upgrade"


@dataclass
class House:
    """An installation of the older version: its database, its files, its archive to be."""

    url: str
    folder: Path

    @property
    def archive(self) -> Path:
        return self.folder / "before.tar"

    @property
    def environment(self) -> dict[str, str]:
        return {
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "sites.project.settings",
            "DATABASE_URL": self.url,
            "MEDIA_ROOT": str(self.folder / "the media"),
            "DEBUG": "1",
        }

    @property
    def file(self) -> Path:
        """The file of SQLite."""
        return Path(self.url.removeprefix("sqlite:///"))

    @property
    def is_sqlite(self) -> bool:
        return self.url.startswith("sqlite")

    def content(self) -> list[str]:
        """All that is in the database, as text."""
        if self.is_sqlite:
            with closing(sqlite3.connect(self.file)) as database:
                return list(database.iterdump())
        dump = ["pg_dump", "--no-owner", "--inserts", self.url]
        done = subprocess.run(dump, capture_output=True, text=True, check=True)
        # A dump of newer programs begins and ends with a random word of its own.
        return sorted(line for line in done.stdout.splitlines() if "restrict" not in line)

    def execute(self, statement: str) -> None:
        if self.is_sqlite:
            with closing(sqlite3.connect(self.file)) as file, file:
                file.execute(statement)
        else:
            with psycopg.connect(self.url) as database:
                database.execute(statement)  # type: ignore[call-overload]

    @contextmanager
    def somebody_connected(self) -> Iterator[None]:
        """A process that has the file open, or a session of the server."""
        if not self.is_sqlite:
            with psycopg.connect(self.url):
                yield
            return
        with self.file.open("rb") as file:
            other = subprocess.Popen(["sleep", "600"], stdin=file)
        try:
            yield
        finally:
            other.kill()
            other.wait()

    def manage(self, *words: str, settings: str = "", fails: bool = False) -> str:
        told = {"DJANGO_SETTINGS_MODULE": settings} if settings else {}
        done = subprocess.run(
            [sys.executable, "manage.py", *words], cwd=CHECKOUT, env=self.environment | told,
            capture_output=True, text=True, check=False,
        )  # fmt: skip
        assert bool(done.returncode) is fails, done.stdout + done.stderr[-3000:]
        return done.stdout + done.stderr


@pytest.fixture(params=["sqlite", "postgresql"])
def house(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[House]:
    """The oldest version that is kept, with a photo."""
    (tmp_path / "the media").mkdir()
    (tmp_path / "the media/photo.jpg").write_bytes(b"a photo")
    if request.param == "sqlite":
        file = tmp_path / "old.sqlite3"
        load_sqlite(OLDEST, file)
        yield House(f"sqlite:///{file}", tmp_path)
        return
    cluster = request.getfixturevalue("postgres_url")
    url = in_database(cluster, "to_upgrade")
    with closing(psycopg.connect(cluster, autocommit=True)) as server:
        server.execute("CREATE DATABASE to_upgrade")
        load_postgresql(OLDEST, url)
        yield House(url, tmp_path)
        names = server.execute(
            "SELECT datname FROM pg_database WHERE datname LIKE 'to_upgrade%'"
        ).fetchall()
        for (name,) in names:
            server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def test_it_looks_first_and_changes_nothing_while_something_stands_in_the_way(
    house: House,
) -> None:
    before = house.content()
    said = house.manage("upgrade", "--check", "--to", str(house.archive))
    for words in (
        "migrations: ",
        " to do: ",
        "in use: by nobody else",
        "MB free",
        "Nothing stands",
    ):
        assert words in said
    with house.somebody_connected():
        said = house.manage("upgrade", "--to", str(house.archive), fails=True)
        assert "! in use: others are connected: process " in said
        assert "Nothing was changed" in said
        words = ["upgrade", "--check", "--while-in-use", "--to", str(house.archive)]
        assert "Nothing stands in the way" in house.manage(*words)
    assert house.content() == before
    house.execute(
        "INSERT INTO django_migrations (app, name, applied)"
        " VALUES ('sites', '9999_later', '2026-01-01')"
    )
    key, nowhere = house.folder / "key", house.folder / "nowhere"
    key.write_text("no key")
    key.chmod(0o600)
    told = ["--to", str(nowhere / "before.tar"), "--key-file", str(key)]
    said = house.manage("upgrade", *told, fails=True)
    assert f"! backup: {nowhere} is not there" in said
    assert f"! key: {key} holds no key" in said
    assert "! migrations: this database was migrated by a newer program" in said
    assert "sites.9999_later" in said
    assert not house.archive.exists()


# The way back of the other engine is tried below, and its smoke with the operator's guide.
@pytest.mark.parametrize("house", ["sqlite"], indirect=True)
def test_an_older_version_is_upgraded_with_its_rows_and_a_backup(house: House) -> None:
    before = len([line for line in house.content() if "sites_station" in line])
    said = house.manage("upgrade", "--to", str(house.archive))
    for words in ("1 of 4, backup", "2 of 4, migrations: done", "3 of 4, rows", "4 of 4, pages"):
        assert words in said
    assert "Upgraded." in said
    assert len([line for line in house.content() if "sites_station" in line]) >= before > 5
    again = house.manage("upgrade", "--check", "--to", str(house.archive), fails=True)
    assert "migrations: none to do" in again
    assert "! backup:" in again
    assert "is there already" in again


def test_a_migration_that_breaks_leaves_a_way_back_that_is_true(house: House) -> None:
    before = house.content()
    said = house.manage("upgrade", "--to", str(house.archive), settings=FAILING, fails=True)
    assert "RuntimeError: this migration was written to break" in said
    assert "Let nobody in." in said
    # Others were done, and it had deleted rows by then.
    assert house.content() != before
    script = house.archive.with_name("before.tar.way-back.sh").read_text()
    assert script in said
    done = subprocess.run(
        ["sh", "-c", script], cwd="/", env=house.environment, capture_output=True, text=True,
        check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert house.content() == before
    assert (house.folder / "the media/photo.jpg").read_bytes() == b"a photo"
    # What failed was moved aside.
    assert [each for each in house.folder.iterdir() if "media.failed-" in each.name]


def test_without_a_place_for_the_backup_it_does_not_begin() -> None:
    with pytest.raises(CommandError, match="--to, or set BACKUP_FOLDER"):
        call_command("upgrade")
