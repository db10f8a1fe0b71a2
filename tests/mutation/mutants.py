"""Make mutants: copies of a module with one small mistake each.

The mistakes are those of the library mutmut, and a few of our own (all for any, least for most,
a condition turned round). mutmut's own runner is not used: it leaves out decorated functions,
properties and tables outside functions, where much of our rules stands. Left out here: texts,
annotations, decorators, imports and `raise`, whose words are not rules.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

import libcst as cst
from mutmut.mutation.mutators import mutation_operators, operator_string

from tests.mutation.table import CHECKOUT

SWAPPED = {"all": "any", "any": "all", "min": "max", "max": "min"}
LEFT_OUT = (cst.Annotation, cst.Decorator, cst.Import, cst.ImportFrom, cst.Raise)
TYPES = {"TypeVar", "NewType", "ParamSpec"}


@dataclass(frozen=True)
class Mutant:
    """One mistake in one module. `change` names it: function, lines before, lines after."""

    module: str
    change: str
    source: str = field(repr=False)

    @property
    def name(self) -> str:
        """Module and change: the same as long as the lines around the mistake are."""
        return f"{self.module}: {self.change}"


@dataclass(frozen=True)
class Place:
    """Where a mistake can be made: its node, the function around it, and what takes its place."""

    node: cst.CSTNode
    function: str
    put: cst.CSTNode


def path_of(module: str) -> Path:
    """Return the file of a module, without importing it."""
    return CHECKOUT.joinpath(*module.split(".")).with_suffix(".py")


class Mutated:
    """A module and every place in it where a mistake can be made."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.source = path_of(name).read_text()
        self.tree = cst.parse_module(self.source)

    @cached_property
    def places(self) -> list[Place]:
        """All of them, in the order of the file."""
        finder = _Finder()
        self.tree.visit(finder)
        return finder.places

    def mutant(self, place: Place) -> Mutant | None:
        """Return the mutant, or None where the change is none or makes no Python."""
        changed = self.tree.deep_replace(place.node, place.put)
        assert isinstance(changed, cst.Module)
        try:
            compile(changed.code, self.name, "exec")
        except SyntaxError:
            return None
        lines = _changed_lines(self.source, changed.code)
        return Mutant(self.name, f"{place.function}: {lines}", changed.code) if lines else None

    def mutants(self) -> Iterator[Mutant]:
        """Yield every mutant once."""
        seen = {self.source}
        for place in self.places:
            made = self.mutant(place)
            if made is not None and made.source not in seen:
                seen.add(made.source)
                yield made


def _changed_lines(before: str, after: str) -> str:
    """Return "old lines -> new lines" without indents, or nothing where they are the same."""
    old, new = before.splitlines(), after.splitlines()
    for end in (0, -1):
        while old and new and old[end] == new[end]:
            del old[end], new[end]
    old, new = ([line.strip() for line in lines] for lines in (old, new))
    return f"{' '.join(old)} -> {' '.join(new)}" if old or new else ""


class _Finder(cst.CSTVisitor):
    def __init__(self) -> None:
        self.places: list[Place] = []
        self._names: list[str] = []

    def on_visit(self, node: cst.CSTNode) -> bool:
        if isinstance(node, LEFT_OUT) or _is_of_types(node):
            return False
        if isinstance(node, cst.FunctionDef | cst.ClassDef):
            self._names.append(node.name.value)
        function = ".".join(self._names) or "module"
        self.places += [Place(node, function, put) for put in _mistakes(node)]
        return True

    def on_leave(self, original_node: cst.CSTNode) -> None:
        if isinstance(original_node, cst.FunctionDef | cst.ClassDef):
            self._names.pop()


def _is_of_types(node: cst.CSTNode) -> bool:
    return (
        isinstance(node, cst.Call) and isinstance(node.func, cst.Name) and node.func.value in TYPES
    )


def _mistakes(node: cst.CSTNode) -> Iterable[cst.CSTNode]:
    for kind, operator in mutation_operators:
        if isinstance(node, kind) and operator is not operator_string:
            yield from operator(node)
    if isinstance(node, cst.Name) and node.value in SWAPPED:
        yield node.with_changes(value=SWAPPED[node.value])
    if isinstance(node, cst.If | cst.CompIf):
        inner = node.test.with_changes(lpar=[cst.LeftParen()], rpar=[cst.RightParen()])
        yield node.with_changes(test=cst.UnaryOperation(cst.Not(), inner))
