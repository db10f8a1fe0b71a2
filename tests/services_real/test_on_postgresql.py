"""The suite's own tests hold on real PostgreSQL as they do on SQLite."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.services_real.worker import CHECKOUT

pytestmark = pytest.mark.service

# The check repeats what can differ there: constraints, locks, verbs, sums, order and search. The
# rest reads files, writes cells and words, or looks at roles; EVERYTHING_ON_POSTGRESQL repeats it
# too, and so does `.ci/long postgresql`.
EVERYTHING = bool(os.environ.get("EVERYTHING_ON_POSTGRESQL"))
LEFT_OUT = [
    "tests/models/test_upgrade.py",
    *(f"tests/services/{name}" for name in ("load", "export", "sheet", "hotspots")),
    *(
        f"tests/services/{room}/test_{name}.py"
        for room, name in (
            ("register", "photos"),
            ("ground", "plan_picture"),
            ("locating", "words"),
            ("locating", "learning"),
            ("wires", "expected_ohms"),
        )
    ),
]
FOLDERS = (
    ["tests/models", "tests/services", "tests/stories", "tests/web"]
    if EVERYTHING
    else [
        *(
            "tests/models",
            "tests/services",
            "tests/web/off_central/test_home.py",
            "tests/web/search/test_search.py",
        ),
        *(f"--ignore={name}" for name in LEFT_OUT),
        # Which rows touch which summary: signals alone, the same on both.
        "--deselect=tests/services/summaries/test_random_edits.py"
        "::test_each_input_touches_its_own_property_alone",
    ]
)
# In the whole check the browser tests have the other core.
WORKERS = "0" if os.environ.get("CI") else "2"
# As many as there are at least: a folder that stops being collected must not go unseen.
AT_LEAST = 600
COUNTED = re.compile(r"(\d+) (passed|failed|skipped|errors?|xfailed|xpassed)\b")


def test_all_that_touches_the_database_passes_there_and_none_is_skipped(
    postgres_url: str, tmp_path: Path
) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-n", WORKERS, "-m", "not service", *FOLDERS],
        cwd=CHECKOUT,
        env={**os.environ, "DATABASE_URL": postgres_url},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout[-6000:] + done.stderr[-2000:]
    counts = {word: int(number) for number, word in COUNTED.findall(done.stdout)}
    assert counts["passed"] >= AT_LEAST
    assert "skipped" not in counts


def test_the_database_that_they_ran_on_was_postgresql(postgres_url: str) -> None:
    ask = (
        "import django; django.setup(); from django.db import connection as c; "
        "cursor = c.cursor(); cursor.execute('SELECT version()'); print(cursor.fetchone()[0])"
    )
    done = subprocess.run(
        [sys.executable, "-c", ask],
        cwd=CHECKOUT,
        env={
            **os.environ,
            "DATABASE_URL": postgres_url,
            "DJANGO_SETTINGS_MODULE": "tests.settings",
        },
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout.startswith("PostgreSQL"), done.stderr
