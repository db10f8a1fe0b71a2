"""The rooms, as the import contracts in pyproject.toml list them, and the house that they make."""

import ast
import tomllib

from tests.architecture.source import APPS, CHECKOUT, parsed

_PROJECT = tomllib.loads((CHECKOUT / "pyproject.toml").read_text())
_CONTRACTS = _PROJECT["tool"]["importlinter"]["contracts"]
# The kernel has an order of its own inside.
ROOMS = sorted(
    room
    for contract in _CONTRACTS
    if contract["name"].startswith("Inside")
    for room in contract["containers"]
)


def order_in(app: str) -> list[list[str]]:
    """Return the rooms of an app from the highest to the lowest, those that stand side by side."""
    (contract,) = [each for each in _CONTRACTS if each.get("containers") == [app]]
    floors = [layer.replace(" ", "").split(":") for layer in contract["layers"]]
    rooms = [[name for name in floor if f"{app}.{name}" in ROOMS] for floor in floors]
    return [floor for floor in rooms if floor]


def about(room: str) -> str:
    """Return the first sentence of a room's docstring."""
    said = ast.get_docstring(parsed(CHECKOUT.joinpath(*room.split("."), "__init__.py"))) or ""
    return said.split("\n\n")[0].replace("\n", " ")


def house() -> list[str]:
    """Return the drawing of the house: apps and rooms, the highest first."""
    lines = ["```"]
    for app in reversed(APPS):
        lines.append(f"{app}/")
        rooms = [name for floor in order_in(app) for name in floor]
        lines += [f"  {name:12}{about(f'{app}.{name}')}" for name in rooms]
    return [*lines, "```"]
