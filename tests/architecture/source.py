"""Read the repository as git has it."""

import ast
import subprocess
from functools import cache
from pathlib import Path

CHECKOUT = Path(__file__).resolve().parent.parent.parent
APPS = ("sites", "faults", "reports")


@cache
def tracked_files() -> tuple[Path, ...]:
    """Return all files that git tracks and that stand in the checkout."""
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=CHECKOUT, capture_output=True, text=True, check=True
    )
    paths = (CHECKOUT / name for name in listed.stdout.split("\0") if name)
    return tuple(path for path in paths if path.is_file())


def python_files(*folders: str) -> list[Path]:
    """Return Python files under these folders of the checkout, without migrations."""
    return sorted(
        path
        for folder in folders
        for path in (CHECKOUT / folder).rglob("*.py")
        if "migrations" not in path.parts
    )


def engine_files() -> list[Path]:
    """Return the files of every room's engines."""
    return [path for path in python_files(*APPS) if {"engines", "engines.py"} & set(path.parts)]


def parsed(path: Path) -> ast.Module:
    """Return the syntax tree of a file."""
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


def place(path: Path, node: ast.AST) -> str:
    """Return where a node stands, as "folder/file.py:12"."""
    return f"{path.relative_to(CHECKOUT)}:{getattr(node, 'lineno', 0)}"
