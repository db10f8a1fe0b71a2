"""Databases of earlier versions follow today's migrations on PostgreSQL too."""

import os
import subprocess
import sys

import psycopg
import pytest

from tests.databases import create_from_template
from tests.kept_databases import VERSIONS, load_postgresql
from tests.services_real.postgres import in_database
from tests.services_real.worker import CHECKOUT

pytestmark = pytest.mark.service

STATIONS = "SELECT array_agg(ref ORDER BY ref) FROM sites_station"


def _migrate(url: str) -> None:
    done = subprocess.run(
        [sys.executable, "manage.py", "migrate", "--verbosity", "0", "--skip-checks"],
        cwd=CHECKOUT,
        env={
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "sites.project.settings",
            "DATABASE_URL": url,
        },
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-3000:]


def _shape(url: str) -> set[tuple[object, ...]]:
    """Return columns, and the names and kinds of constraints, exclusions among them.

    Their texts would not do: a dump writes the same condition in other words.
    """
    with psycopg.connect(url) as database:
        columns = database.execute(
            "SELECT table_name, column_name, data_type, is_nullable FROM information_schema.columns"
            " WHERE table_schema = 'public'"
        ).fetchall()
        rules = database.execute(
            "SELECT c.conrelid::regclass::text, c.contype::text, c.conname"
            " FROM pg_constraint c JOIN pg_namespace n ON n.oid = c.connamespace"
            " WHERE n.nspname = 'public'"
        ).fetchall()
    return {*columns, *rules}


@pytest.mark.parametrize("version", VERSIONS)
def test_an_older_database_has_todays_shape_afterwards_and_its_stations(
    version: str, postgres_url: str
) -> None:
    with psycopg.connect(postgres_url, autocommit=True) as server:
        server.execute(f"CREATE DATABASE upgrade_{version}")
    url = in_database(postgres_url, f"upgrade_{version}")
    load_postgresql(version, url)
    with psycopg.connect(url) as database:
        before = database.execute(STATIONS).fetchone()
    _migrate(url)
    with psycopg.connect(url) as database:
        after = database.execute(STATIONS).fetchone()
    assert before
    assert before[0]
    assert after == before
    assert _shape(url) == _shape(create_from_template(postgres_url, f"fresh_{version}"))
