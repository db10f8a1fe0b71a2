"""Every public function of an engine is reached from pages, services, models, forms or commands.

What only tests call is shown to nobody. A function counts as reached when product code outside
the engines names it, or when something in an engine does that is itself reached.
"""

import ast
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from tests.architecture.source import APPS, CHECKOUT, engine_files, parsed, python_files

# By module and name, each with the reason why nothing calls it yet.
NOT_CALLED = {
    "faults.work.engines.heat.most_of_a_day": "for the work by days, which is not built yet",
    "faults.work.engines.heat.water_to_drink": "for the work by days, which is not built yet",
    "faults.locating.engines.plain_search.search_from": "reads what phones read: the tests hold "
    "the phone's engine to it",
}

Name = tuple[str, str]


def module_of(path: Path) -> str:
    """Return the dotted name of a module or package."""
    parts = path.relative_to(CHECKOUT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def split(dotted: str) -> Name:
    """Return the module and the name of a dotted name."""
    module, _, name = dotted.rpartition(".")
    return module, name


def names_of(node: ast.stmt) -> list[str]:
    """Return what a statement at the top of a module defines."""
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        return [node.name]
    if isinstance(node, ast.Assign | ast.AnnAssign):
        targets = node.targets if isinstance(node, ast.Assign) else [node.target]
        return [one.id for one in targets if isinstance(one, ast.Name)]
    return []


def imported(tree: ast.AST) -> dict[str, Name]:
    """Return where each imported name comes from; a module stands as (module, "")."""
    found: dict[str, Name] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module:
            for one in node.names:
                whole = f"{node.module}.{one.name}"
                is_module = whole in modules()
                found[one.asname or one.name] = (
                    (whole, "") if is_module else (node.module, one.name)
                )
    return found


@cache
def modules() -> frozenset[str]:
    """Return every module of the product."""
    return frozenset(module_of(path) for path in python_files(*APPS))


def used_by(node: ast.AST, module: str, known: dict[str, Name]) -> Iterator[Name]:
    """Yield what a piece of code names: its module's own, and what it imports."""
    for each in ast.walk(node):
        if isinstance(each, ast.Attribute) and isinstance(each.value, ast.Name):
            of, name = known.get(each.value.id, ("", "-"))
            if not name:
                yield of, each.attr
        elif isinstance(each, ast.Name):
            yield known.get(each.id, (module, each.id))


def unreached() -> set[str]:
    """Return the public functions of engines that no product code reaches."""
    engines, todo, uses = set(engine_files()), set[Name](), defaultdict[Name, set[Name]](set)
    functions = set[Name]()
    for path in python_files(*APPS):
        tree, module = parsed(path), module_of(path)
        known = imported(tree)
        for node in tree.body:
            names = names_of(node) if path in engines else []
            if not names and not isinstance(node, ast.ImportFrom):
                todo |= set(used_by(node, module, known))
            for name in names:
                uses[module, name] |= set(used_by(node, module, known))
                if isinstance(node, ast.FunctionDef) and not name.startswith("_"):
                    functions.add((module, name))
        if path.name == "__init__.py":
            for name, source in known.items():
                uses[module, name].add(source)
    # What is excused is not reached, but what it needs is: it is there for a reason.
    todo |= {use for one in NOT_CALLED for use in uses[split(one)]}
    reached = set[Name]()
    while todo:
        one = todo.pop()
        if one not in reached:
            reached.add(one)
            todo |= uses[one]
    assert len(functions) > 200, len(functions)
    return {f"{module}.{name}" for module, name in functions - reached}


def test_every_public_function_of_an_engine_is_reached_by_the_product() -> None:
    found = unreached()
    assert found - set(NOT_CALLED) == set()


def test_what_is_excused_has_a_reason_and_is_still_not_called() -> None:
    assert set(NOT_CALLED) - unreached() == set()
    assert all(len(reason.split()) > 3 for reason in NOT_CALLED.values())
