"""What stands in the repository, and what must never."""

import re
import tomllib

import pytest
from django.core.management import call_command

from tests.architecture.source import CHECKOUT, tracked_files

TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "manage.py",
    "pyproject.toml",
    "sites",
    "faults",
    "reports",
    "tests",
    "fixtures",
}
# Put together here, so that this file does not find itself.
HOSTS = [
    ".".join(words)
    for words in (
        ("pypi", "org"),
        ("files", "pythonhosted"),
        ("registry", "npmjs"),
        ("deb", "debian"),
        ("astral", "sh"),
        ("proxy", "golang"),
    )
]
MACHINE_PATH = re.compile(r"(?<![\w.)}])/(work|root|home/[a-z]+)/[\w.]")


def _texts() -> list[tuple[str, str]]:
    texts = []
    for path in tracked_files():
        try:
            texts.append((str(path.relative_to(CHECKOUT)), path.read_text(encoding="utf-8")))
        except UnicodeDecodeError:  # a picture or a workbook
            continue
    return texts


def _top_level() -> set[str]:
    names = {path.relative_to(CHECKOUT).parts[0] for path in tracked_files()}
    return {name for name in names if not name.startswith(".")}


def test_the_top_level_holds_nothing_else() -> None:
    assert _top_level() - TOP_LEVEL == set()


def test_the_top_level_lacks_nothing() -> None:
    assert TOP_LEVEL - _top_level() == set()


def test_no_file_names_a_host_that_packages_come_from() -> None:
    found = [name for name, text in _texts() for host in HOSTS if host in text]
    assert found == []


def test_no_file_names_a_folder_of_somebodys_machine() -> None:
    found = [name for name, text in _texts() if MACHINE_PATH.search(text)]
    assert found == []


@pytest.mark.parametrize(
    "line", ["see " + "/work" + "/main", '"' + "/root" + '/.cache"', "/home" + "/kim/x"]
)
def test_a_machine_path_would_be_seen(line: str) -> None:
    assert MACHINE_PATH.search(line)


def test_the_lock_file_stays_out_and_every_version_is_held_in_the_project_file() -> None:
    assert "uv.lock" not in {path.name for path in tracked_files()}
    project = tomllib.loads((CHECKOUT / "pyproject.toml").read_text())
    held = project["tool"]["uv"]["constraint-dependencies"]
    assert all(re.fullmatch(r"[a-z0-9-]+==[^ ;]+( ; .+)?", line) for line in held), held
    names = {line.partition("==")[0] for line in held}
    wanted = [*project["project"]["dependencies"], *project["dependency-groups"]["dev"]]
    asked_for = {re.split(r"[\[><=~! ]", line)[0].lower() for line in wanted}
    assert asked_for - names == set()


@pytest.mark.django_db
def test_no_migration_is_missing() -> None:
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def test_the_version_is_that_of_readmes_newest_change() -> None:
    newest = re.search(
        r"^## Changes\n\n- \*\*([\d.]+)\*\*", (CHECKOUT / "README.md").read_text(), re.M
    )
    assert newest
    project = tomllib.loads((CHECKOUT / "pyproject.toml").read_text())["project"]
    assert f"{newest[1]}.0".startswith(project["version"])
