"""Apps point down, engines stand alone, and tables of an upper app stay unseen from below."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.db.models import ForeignObject, ManyToManyField

from tests.architecture.rooms import ROOMS
from tests.architecture.source import APPS, CHECKOUT, engine_files, parsed, python_files

# From the lowest to the highest; what Django and packages bring lies below.
HEIGHT = {label: height for height, label in enumerate(APPS, start=1)}
FRAMEWORKS = (
    "django",
    "celery",
    "redis",
    "kombu",
    "plotly",
    "django_tables2",
    "simple_history",
    "psycopg",
)


def _links() -> Iterator[tuple[Any, Any]]:
    for model in apps.get_models(include_auto_created=True):
        for field in model._meta.get_fields():
            if isinstance(field, ForeignObject | ManyToManyField):
                yield model, field


def _height(model: Any) -> int:
    return HEIGHT.get(model._meta.app_label, 0)


def test_no_table_of_a_lower_app_refers_to_an_upper_app() -> None:
    upward = [
        f"{model._meta.label}.{field.name}"
        for model, field in _links()
        if 0 < _height(model) < _height(field.related_model)
    ]
    assert upward == []


def test_no_table_shows_under_a_reverse_name_in_a_lower_app_of_ours() -> None:
    seen_from_below = [
        f"{model._meta.label}.{field.name}"
        for model, field in _links()
        if _height(model) > _height(field.related_model) > 0 and not field.remote_field.hidden
    ]
    assert seen_from_below == []


def test_links_between_our_apps_are_looked_at_at_all() -> None:
    across = [
        field for model, field in _links() if _height(model) > _height(field.related_model) > 0
    ]
    assert len(across) >= 8


def test_djangos_own_sites_app_is_not_installed() -> None:
    # It would have the same label as ours.
    names = {config.name for config in apps.get_app_configs()}
    assert "django.contrib.sites" not in names
    assert {"sites", "faults", "reports"} <= names


@pytest.mark.parametrize("app", APPS)
def test_an_app_imports_without_doing_anything(app: str) -> None:
    assert (CHECKOUT / app / "__init__.py").read_text() == ""


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_says_what_it_is_about_and_imports_without_doing_anything(room: str) -> None:
    (said,) = parsed(CHECKOUT.joinpath(*room.split("."), "__init__.py")).body
    assert isinstance(said, ast.Expr)


def test_all_that_holds_views_or_services_is_a_room() -> None:
    parts = ("views", "services", "queries", "engines", "forms", "tables", "charts")
    homes = {
        ".".join(path.relative_to(CHECKOUT).parts[:2])
        for path in python_files(*APPS)
        if {*path.relative_to(CHECKOUT).parts[2:-1], path.stem} & set(parts)
    }
    assert homes == set(ROOMS)


def test_the_import_contracts_are_kept() -> None:
    program = Path(sys.executable).parent / "lint-imports"
    done = subprocess.run(
        [program, "--no-cache"], cwd=CHECKOUT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "8 kept, 0 broken" in done.stdout


BLOCK = """
import importlib, sys
class Block:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in {frameworks!r}:
            raise ImportError("an engine needs " + name)
sys.meta_path.insert(0, Block())
for name in {modules!r}:
    importlib.import_module(name)
print(len({modules!r}))
"""


def test_engines_import_where_no_framework_is_installed() -> None:
    files = engine_files()
    modules = [".".join(path.relative_to(CHECKOUT).with_suffix("").parts) for path in files]
    done = subprocess.run(
        [sys.executable, "-c", BLOCK.format(frameworks=FRAMEWORKS, modules=modules)],
        cwd=CHECKOUT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) == len(modules) >= 80


def test_the_block_would_see_a_framework() -> None:
    done = subprocess.run(
        [sys.executable, "-c", BLOCK.format(frameworks=FRAMEWORKS, modules=["sites.models"])],
        cwd=CHECKOUT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert "an engine needs django" in done.stderr
