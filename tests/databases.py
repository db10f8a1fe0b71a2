"""Test databases that start as copies of a migrated one.

SQLite copies a cached file; PostgreSQL copies a template database of the same cluster. Both are
named by the fingerprint of the migrations, so `pytest one_file` pays for migrating once.
"""

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager

import psycopg
from django.db import connection, transaction
from psycopg import sql
from pytest_django import DjangoDbBlocker

from sites.kernel.services.migrated import fingerprint, migrate_or_copy
from tests.services_real.postgres import in_database
from tests.services_real.worker import CHECKOUT


def make_test_database() -> None:
    """Point this process's default connection at a migrated database of its own."""
    if connection.vendor == "sqlite":
        migrate_or_copy()
        return
    name = f"rejoin_test_{os.environ.get('PYTEST_XDIST_WORKER', 'alone')}_{os.getpid()}"
    create_from_template(_address(connection.settings_dict["NAME"]), name)
    connection.close()
    connection.settings_dict["NAME"] = name


def drop_test_database() -> None:
    """Drop what `make_test_database` made; a SQLite file goes with its folder."""
    connection.close()
    if connection.vendor == "sqlite":
        return
    name = connection.settings_dict["NAME"]
    with psycopg.connect(_address("postgres"), autocommit=True) as server:
        server.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))


@contextmanager
def rows_for_a_module(blocker: DjangoDbBlocker) -> Iterator[None]:
    """Let a fixture of a whole module make rows once; they go when the module ends.

    Each test still runs in a savepoint inside, so what it changes does not reach the next one.
    """
    with blocker.unblock(), transaction.atomic():
        yield
        transaction.set_rollback(True)


def create_from_template(address: str, name: str) -> str:
    """Create a migrated PostgreSQL database and return its address.

    Args:
        address: of a database of the cluster, whose user may create others. name: of the new one.
    """
    template = f"rejoin_migrated_{fingerprint()}"
    with psycopg.connect(address, autocommit=True) as server:
        server.execute("SELECT pg_advisory_lock(1)")  # one process migrates, the others wait
        known = server.execute("SELECT 1 FROM pg_database WHERE datname = %s", [template])
        if known.fetchone() is None:
            _migrate_template(server, address, template)
        server.execute(
            sql.SQL("CREATE DATABASE {} TEMPLATE {}").format(
                sql.Identifier(name), sql.Identifier(template)
            )
        )
    return in_database(address, name)


def _migrate_template(
    server: "psycopg.Connection[tuple[object, ...]]", address: str, template: str
) -> None:
    """Migrate under another name first: a half-migrated one is never taken for a whole one."""
    unfinished = f"{template}_unfinished"
    server.execute(sql.SQL("DROP DATABASE IF EXISTS {}").format(sql.Identifier(unfinished)))
    server.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(unfinished)))
    # In a process of its own: this one may stand on SQLite.
    subprocess.run(
        [sys.executable, "manage.py", "migrate", "--verbosity", "0", "--skip-checks"],
        cwd=CHECKOUT,
        env={**os.environ, "DATABASE_URL": in_database(address, unfinished)},
        check=True,
    )
    server.execute(
        sql.SQL("ALTER DATABASE {} RENAME TO {}").format(
            sql.Identifier(unfinished), sql.Identifier(template)
        )
    )


def _address(name: str) -> str:
    options = {**connection.settings_dict, "NAME": name}
    return "postgres://{USER}:{PASSWORD}@{HOST}:{PORT}/{NAME}".format(**options)
