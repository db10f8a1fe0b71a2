"""Databases of earlier versions follow today's migrations, and lose nothing on the way."""

import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from django.db import connection
from django.db.migrations.loader import MigrationLoader

from sites.kernel.services import migrated
from tests.kept_databases import VERSIONS, load_sqlite
from tests.services_real.worker import CHECKOUT

# Filled again after each migration by the framework itself.
TABLES = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
FRAMEWORK = {"django_migrations", "django_content_type", "auth_permission"}


def _shape(path: Path) -> dict[str, set[tuple[object, ...]]]:
    """Return each table's columns, and the names of indexes and triggers."""
    with sqlite3.connect(path) as database:
        rows = database.execute(
            "SELECT type, name FROM sqlite_master WHERE name NOT LIKE 'sqlite_%'"
        ).fetchall()
        return {
            f"{kind} {name}": {
                row[1:4] for row in database.execute(f'PRAGMA table_info("{name}")').fetchall()
            }
            for kind, name in rows
            if kind != "index"
        }


def _counts(path: Path) -> dict[str, int]:
    with sqlite3.connect(path) as database:
        tables = database.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
        ).fetchall()
        return {
            name: database.execute(f'SELECT COUNT(*) FROM "{name}"').fetchone()[0]
            for (name,) in tables
            if name not in FRAMEWORK
        }


def _migrate(path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "manage.py", "migrate", "--verbosity", "0", "--skip-checks"],
        cwd=CHECKOUT,
        env={
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "sites.project.settings",
            "DATABASE_URL": f"sqlite:///{path}",
        },
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-3000:]


@pytest.mark.parametrize("version", VERSIONS)
def test_an_older_database_has_todays_shape_afterwards_and_all_its_rows(
    version: str, tmp_path: Path, django_db_setup: None
) -> None:
    # The database of these tests itself was made by all migrations, from nothing.
    old, new = tmp_path / "old.sqlite3", Path(connection.settings_dict["NAME"])
    load_sqlite(version, old)
    before = _counts(old)
    assert before["sites_station"] > 5
    assert before["faults_fault"] > 0
    _migrate(old)
    assert _shape(old) == _shape(new)
    after = _counts(old)
    assert {name: after.get(name) for name in before} == before


@pytest.mark.parametrize("version", VERSIONS)
def test_no_migration_that_was_on_the_main_line_lost_its_name(version: str, tmp_path: Path) -> None:
    load_sqlite(version, tmp_path / "old.sqlite3")
    with sqlite3.connect(tmp_path / "old.sqlite3") as database:
        applied = set(database.execute("SELECT app, name FROM django_migrations").fetchall())
    loader = MigrationLoader(None)
    known = set(loader.disk_migrations)
    for migration in loader.disk_migrations.values():
        known.update(migration.replaces)
    ours = {pair for pair in applied if pair[0] in {"sites", "faults", "reports"}}
    assert ours
    assert ours - known == set()


def test_a_change_of_a_migration_makes_another_fingerprint(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = migrated.fingerprint()
    read = Path.read_bytes
    monkeypatch.setattr(
        Path,
        "read_bytes",
        lambda path: read(path) + (b"#" if path.name == "0001_tables.py" else b""),
    )
    assert migrated.fingerprint() != before
