"""A worker starts without the heavy libraries, which only some requests need."""

import ast
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path

import pytest

from sites.kernel.lazily import lazily
from tests.architecture.source import CHECKOUT

# What each costs to import is told by `python -X importtime`: 0.03 s (holidays) to 1.8 s (scipy).
HEAVY = {
    "holidays",
    "icalendar",
    "numpy",
    "openpyxl",
    "PIL.Image",
    "plotly.graph_objects",
    "pyproj",
    "refet",
    "scipy",
    "typst",
}
# An import by name is not seen by import-linter, so what engines may not use is held here too.
NOT_IN_ENGINES = {"celery", "django", "django_tables2", "plotly", "redis", "simple_history"}
LOADED = "import json, sys, sites.project.wsgi; print(json.dumps(sorted(sys.modules)))"


def test_a_worker_imports_no_heavy_library(tmp_path: Path) -> None:
    surroundings = {**os.environ, "DJANGO_SETTINGS_MODULE": "sites.project.settings"}
    done = subprocess.run(
        [sys.executable, "-c", LOADED],
        cwd=CHECKOUT,
        env=surroundings | {"REJOIN_STATE": str(tmp_path)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    loaded = set(json.loads(done.stdout))
    assert "reports.hotspots.views.hotspots" in loaded
    assert loaded & HEAVY == set()


def _postponed() -> Iterator[tuple[Path, str]]:
    for app in ("sites", "faults", "reports"):
        for path in (CHECKOUT / app).rglob("*.py"):
            if "lazily" not in (text := path.read_text()):
                continue
            for node in ast.walk(ast.parse(text)):
                if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "lazily":
                    yield path.relative_to(CHECKOUT), ast.literal_eval(node.args[0])


def test_what_is_postponed_exists_and_engines_postpone_no_framework() -> None:
    postponed = set(_postponed())
    assert {name for _path, name in postponed} >= {"scipy.stats", "pyproj"}
    assert [(path, name) for path, name in postponed if find_spec(name) is None] == []
    engines = [(path, name) for path, name in postponed if "engines" in path.parts]
    assert [(p, name) for p, name in engines if name.split(".")[0] in NOT_IN_ENGINES] == []


def test_a_postponed_module_answers_as_the_module_does() -> None:
    sys.modules.pop("colorsys", None)
    later = lazily("colorsys")
    assert "colorsys" not in sys.modules
    assert later.rgb_to_hsv(1.0, 0.0, 0.0) == (0.0, 1.0, 1.0)
    assert "colorsys" in sys.modules
    with pytest.raises(AttributeError, match="no_such_name"):
        _ = later.no_such_name
