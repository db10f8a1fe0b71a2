"""DEVELOPERS.md tells the truth where the code can say it."""

import tomllib
from pathlib import Path

from tests.architecture.guide import access_table, stage_table, verb_table, waits_table

ROOT = Path(__file__).parent.parent.parent
GUIDE = (ROOT / "DEVELOPERS.md").read_text()


def test_prints_the_table_of_stage_moves() -> None:
    assert "\n".join(stage_table()) in GUIDE


def test_prints_the_table_of_roles_and_actions() -> None:
    assert "\n".join(access_table()) in GUIDE


def test_prints_the_table_of_verbs() -> None:
    assert "\n".join(verb_table()) in GUIDE


def test_prints_the_table_of_what_stations_wait_on() -> None:
    assert "\n".join(waits_table()) in GUIDE


def test_says_why_each_runtime_dependency_is_there() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    names = {entry.split("[")[0].split(">")[0].split("=")[0] for entry in project["dependencies"]}
    missing = {name for name in names if f"| {name} |" not in GUIDE}
    assert names
    assert not missing
