"""Databases of earlier versions, kept as SQL so that each upgrade is tried on real rows.

`uv run python -m tests.kept_databases 0_5` writes fixtures/upgrade/0_5_sqlite.sql.gz and, with
pg_dump at hand, 0_5_postgresql.sql.gz, from a register that has something of everything. Run it
on the last commit of a release, before its migrations are followed by others; never again for
a version that is kept.
"""

import gzip
import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

from tests.services_real.postgres import cluster
from tests.services_real.worker import CHECKOUT

FOLDER = CHECKOUT / "fixtures" / "upgrade"
VERSIONS = sorted({path.name.rsplit("_", 1)[0] for path in FOLDER.glob("*.sql.gz")})


def sql_of(version: str, vendor: str) -> str:
    """Return a kept database as one text of SQL statements."""
    return gzip.decompress((FOLDER / f"{version}_{vendor}.sql.gz").read_bytes()).decode()


def load_sqlite(version: str, path: Path) -> None:
    """Write a kept database to a file."""
    with closing(sqlite3.connect(path)) as database:
        database.executescript(sql_of(version, "sqlite"))


def load_postgresql(version: str, url: str) -> None:
    """Write a kept database into an empty one.

    Raises:
        subprocess.CalledProcessError: psql refused a statement.
    """
    subprocess.run(
        ["psql", "--quiet", "--set=ON_ERROR_STOP=1", url],
        input=sql_of(version, "postgresql"),
        text=True,
        check=True,
        stdout=subprocess.DEVNULL,
    )


def keep(version: str) -> None:
    """Fill a database on each engine and write it down; refuses a version that is kept."""
    if version in VERSIONS:
        raise SystemExit(f"{version} is kept already: a later upgrade is tested against it.")
    FOLDER.mkdir(exist_ok=True)
    with cluster() as url:
        _fill(DATABASE_URL=url)
        dump = subprocess.run(
            ["pg_dump", "--no-owner", "--no-privileges", "--inserts", url],
            capture_output=True,
            text=True,
            check=True,
        )
        _write(version, "postgresql", dump.stdout)
    _fill(REJOIN_KEEP=version)


def _fill(**env: str) -> None:
    subprocess.run(
        [sys.executable, "-m", "tests.kept_databases", "--fill"],
        cwd=CHECKOUT,
        env={**os.environ, "DJANGO_SETTINGS_MODULE": "tests.settings", **env},
        check=True,
    )


def _fill_this_process() -> None:
    import django

    django.setup()
    from django.core.management import call_command
    from django.db import connection
    from django.test.utils import setup_test_environment

    from tests.browser.scene import make_scene

    call_command("migrate", verbosity=0)
    call_command("collectstatic", interactive=False, verbosity=0)
    setup_test_environment()
    make_scene().addresses()
    if version := os.environ.get("REJOIN_KEEP"):
        connection.close()
        with sqlite3.connect(str(connection.settings_dict["NAME"])) as database:
            _write(version, "sqlite", "\n".join(database.iterdump()))


def _write(version: str, vendor: str, text: str) -> None:
    # No time in the head of the packed file: the same text gives the same bytes.
    packed = gzip.compress(text.encode(), mtime=0)
    (FOLDER / f"{version}_{vendor}.sql.gz").write_bytes(packed)


if __name__ == "__main__":
    _fill_this_process() if sys.argv[1] == "--fill" else keep(sys.argv[1])
