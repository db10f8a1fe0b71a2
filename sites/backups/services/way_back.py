"""The way back from an upgrade, as commands of a shell that delete nothing."""

import shlex
import sys
from datetime import UTC, datetime
from pathlib import Path

from django.conf import settings
from django.db import connection


def way_back(archive: Path, *, at: datetime, key_file: Path | None = None) -> str:
    """Return the commands that lead back to an archive: what is there is moved aside first."""
    stamp = f"{at.astimezone(UTC):%Y%m%dT%H%M%SZ}".lower()
    restore = [sys.executable, "manage.py", "restore", str(archive)]
    if key_file:
        restore += ["--key-file", str(key_file.absolute())]
    aside = _postgresql(stamp) if connection.vendor == "postgresql" else _sqlite(stamp)
    media = _aside(Path(settings.MEDIA_ROOT), stamp)
    return "\n".join(
        [
            "# The way back to what was there before this upgrade. Nothing is deleted: what is",
            "# there now is moved aside. Stop web, worker and beat; run this as the user of the",
            "# service, with its environment variables set.",
            "set -e",
            shlex.join(["cd", str(settings.BASE_DIR)]),
            *aside,
            media,
            shlex.join(restore),
            "# Then put the program back that ran before (git reflog says which), and start it.",
            "",
        ]
    )


def _aside(path: Path, stamp: str) -> str:
    here, there = shlex.quote(str(path)), shlex.quote(f"{path}.failed-{stamp}")
    return f"[ ! -e {here} ] || mv {here} {there}"


def _sqlite(stamp: str) -> list[str]:
    name = str(connection.settings_dict["NAME"])
    # A log that stays beside it would be taken for the restored file's.
    return [_aside(Path(name + end), stamp) for end in ("", "-wal", "-shm")]


def _postgresql(stamp: str) -> list[str]:
    told = connection.settings_dict
    named = {"--host": "HOST", "--port": "PORT", "--username": "USER"}
    where = [f"{option}={told[key]}" for option, key in named.items() if told.get(key)]
    name = str(told["NAME"])
    owner = f" OWNER {_quoted(str(told['USER']))}" if told.get("USER") else ""
    aside = _quoted(f"{name[:40]}_failed_{stamp}")
    return [
        "# This user needs the right to create databases; without it, let postgres do this step.",
        shlex.join(
            [
                *("psql", *where, "--dbname=postgres", "--set=ON_ERROR_STOP=1"),
                f"--command=ALTER DATABASE {_quoted(name)} RENAME TO {aside}",
                f"--command=CREATE DATABASE {_quoted(name)}{owner}",
            ]
        ),
    ]


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'
