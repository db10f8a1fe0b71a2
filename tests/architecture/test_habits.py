"""Habits that no linter knows: held by reading the syntax tree."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.architecture.source import APPS, CHECKOUT, parsed, place, python_files

COUNTERS = {"assertNumQueries", "django_assert_num_queries", "django_assert_max_num_queries"}
LONGEST_FILE = 300


def _name(call: ast.Call) -> str:
    if isinstance(call.func, ast.Attribute):
        return call.func.attr
    return call.func.id if isinstance(call.func, ast.Name) else ""


def _counts_outside_with(tree: ast.Module) -> Iterator[ast.Call]:
    """Yield calls that count queries and, not being entered, assert nothing."""
    entered = {
        id(item.context_expr)
        for node in ast.walk(tree)
        if isinstance(node, ast.With | ast.AsyncWith)
        for item in node.items
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and _name(node) in COUNTERS and id(node) not in entered:
            yield node


def _bare_managers(tree: ast.Module) -> Iterator[ast.Attribute]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and node.attr in {"objects", "_default_manager"}:
            yield node


def _views() -> list[Path]:
    return [path for path in python_files(*APPS) if "views" in (path.stem, path.parent.name)]


def test_queries_are_counted_inside_with() -> None:
    found = [
        place(path, node)
        for path in python_files("tests")
        for node in _counts_outside_with(parsed(path))
    ]
    assert found == []


@pytest.mark.parametrize(
    ("line", "caught"),
    [
        ("self.assertNumQueries(3)", 1),
        ("django_assert_num_queries(3)", 1),
        ("with django_assert_num_queries(3): page()", 0),
        ("with a, self.assertNumQueries(3): page()", 0),
    ],
)
def test_the_count_that_asserts_nothing_would_be_seen(line: str, caught: int) -> None:
    assert len(list(_counts_outside_with(ast.parse(line)))) == caught


def test_no_view_fetches_from_a_bare_manager() -> None:
    # The loader of an object is the access check: it lives in access.py and queries.py.
    found = [place(path, node) for path in _views() for node in _bare_managers(parsed(path))]
    assert found == []


def test_views_are_looked_at_at_all() -> None:
    assert len(_views()) >= 6


def test_files_stay_short_enough_to_read() -> None:
    long_ones = {
        str(path.relative_to(CHECKOUT)): lines
        for path in python_files(*APPS, "tests", "fixtures")
        if (lines := len(path.read_text().splitlines())) > LONGEST_FILE
    }
    assert long_ones == {}


def test_only_a_missing_service_may_skip_a_test() -> None:
    skips = [
        place(path, node)
        for path in python_files("tests")
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.Attribute) and node.attr in {"skip", "skipif", "importorskip"}
    ]
    assert [each.partition(":")[0] for each in skips] == ["tests/conftest.py"]
