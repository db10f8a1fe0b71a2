"""One file of the whole database, consistent while others write; and the database of one file."""

import os
import re
import shutil
import sqlite3
import subprocess
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from pathlib import Path
from typing import IO, Any

from django.db import connection, transaction
from django.utils.translation import gettext as _

# In an archive, by the engine.
NAME_OF = {"sqlite": "database.sqlite3", "postgresql": "database.pg_dump"}
_COPY = re.compile(rb'COPY (?:"?public"?\.)"?([^".]+)"? \(.*\) FROM stdin;$')


class UnableToDump(Exception):
    """The database cannot be written to a file, or be made of one; the text says why."""


def dump(to: Path) -> dict[str, int]:
    """Write the database to a file and return the number of rows of each table in it."""
    return _dump_sqlite(to) if connection.vendor == "sqlite" else _dump_postgresql(to)


def _dump_sqlite(to: Path) -> dict[str, int]:
    """Copy it page by page: SQLite starts over by itself where someone writes meanwhile."""
    with closing(sqlite3.connect(_file())) as source, closing(sqlite3.connect(to)) as copy:
        source.backup(copy)
        # One file, so that no log beside it is needed.
        copy.execute("PRAGMA journal_mode = DELETE")
    return count_sqlite(to)


def count_sqlite(path: Path) -> dict[str, int]:
    """Return the number of rows of each table of a SQLite file.

    Raises:
        UnableToDump: the file is damaged.
    """
    try:
        with closing(sqlite3.connect(path)) as file:
            if file.execute("PRAGMA integrity_check").fetchone() != ("ok",):
                raise UnableToDump(_("The database in it is damaged."))
            names = file.execute(
                "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
            ).fetchall()
            return {name: _count(file, name) for (name,) in names}
    except sqlite3.DatabaseError as error:
        raise UnableToDump(_("The database in it is damaged.")) from error


def _count(file: Any, name: str) -> int:
    quoted = name.replace('"', '""')
    return int(file.execute(f'SELECT COUNT(*) FROM "{quoted}"').fetchone()[0])


def _dump_postgresql(to: Path) -> dict[str, int]:
    """Dump what one snapshot sees, and count in the same one."""
    with _snapshot() as name:
        _run("pg_dump", "--format=custom", f"--snapshot={name}", f"--file={to}")
        return count_rows()


def cursor_of(cursor: Any) -> Any:
    """Return what executes and gives itself back, as a connection of SQLite does."""

    class Executing:
        def execute(self, statement: str) -> Any:
            cursor.execute(statement)
            return cursor

    return Executing()


@contextmanager
def _snapshot() -> Iterator[str]:
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        cursor.execute("SELECT pg_export_snapshot()")
        yield str(cursor.fetchone()[0])


def count_rows() -> dict[str, int]:
    """Return the rows of each table of ours."""
    with connection.cursor() as cursor:
        tables = connection.introspection.table_names(cursor)
        return {table: _count(cursor_of(cursor), table) for table in tables}


def is_empty() -> bool:
    """Whether there is nothing in the database yet: no table at all."""
    if connection.vendor == "sqlite" and not Path(_file()).exists():
        return True
    with connection.cursor() as cursor:
        return not connection.introspection.table_names(cursor)


def look_into(dumped: Path, vendor: str) -> dict[str, int]:
    """Read all of a dumped database without touching ours; return the rows of each table.

    Raises:
        UnableToDump: it is damaged, or what reads it is not there.
    """
    return count_sqlite(dumped) if vendor == "sqlite" else _count_dumped(dumped)


def _count_dumped(dumped: Path) -> dict[str, int]:
    """Count the rows that pg_restore would write, of tables that hold some: no server is asked."""
    command = ["pg_restore", "--file=-", str(dumped)]
    counted: dict[str, int] = {}
    table = None
    with tempfile.TemporaryFile() as said:
        with _started(command, said) as process:
            for line in process.stdout or ():
                if table is None:
                    if matched := _COPY.match(line):
                        table = matched[1].decode()
                        counted[table] = 0
                # Text in a row has its backslashes doubled: such a line is the end, and no row.
                elif line == b"\\.\n":
                    table = None
                else:
                    counted[table] += 1
        said.seek(0)
        if process.returncode:
            words = said.read().decode(errors="replace").strip()
            raise UnableToDump(f"{command[0]}: {words[-600:]}")
    return counted


def _started(command: list[str], said: IO[bytes]) -> "subprocess.Popen[bytes]":
    try:
        return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=said)
    except FileNotFoundError as error:
        raise _not_installed(command[0]) from error


def _not_installed(program: str) -> UnableToDump:
    words = _("%s is not installed here. It comes with the client programs of PostgreSQL.")
    return UnableToDump(words % program)


def bring_in(dumped: Path) -> dict[str, int]:
    """Make the empty database what the file holds, and return the rows of each table."""
    if connection.vendor == "sqlite":
        connection.close()
        ours = Path(_file())
        ours.parent.mkdir(parents=True, exist_ok=True)
        part = ours.with_name(f".{ours.name}.part")
        shutil.copyfile(dumped, part)
        part.replace(ours)
        return count_sqlite(ours)
    _run("pg_restore", "--no-owner", "--single-transaction", "--exit-on-error", str(dumped))
    return count_rows()


def _file() -> str:
    return str(connection.settings_dict["NAME"])


def _run(program: str, *arguments: str) -> None:
    settings = connection.settings_dict
    named = {"--host": "HOST", "--port": "PORT", "--username": "USER"}
    where = [f"{name}={settings[key]}" for name, key in named.items() if settings.get(key)]
    secret = {"PGPASSWORD": settings["PASSWORD"]} if settings.get("PASSWORD") else {}
    command = [program, *where, f"--dbname={settings['NAME']}", "--no-password", *arguments]
    _call(command, {**os.environ, **secret})


def _call(command: list[str], environment: Mapping[str, str]) -> None:
    try:
        done = subprocess.run(
            command, env=dict(environment), capture_output=True, text=True, check=False
        )
    except FileNotFoundError as error:
        raise _not_installed(command[0]) from error
    if done.returncode:
        raise UnableToDump(f"{command[0]}: {done.stderr.strip()[-600:]}")
