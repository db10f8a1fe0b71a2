"""Heavy libraries, imported by the first call that needs them and not by each process.

A process that only shows lists should not pay a second of processor time and tens of megabytes
for statistics, projections or charts that it never computes.
"""

from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np

__all__ = ["lazily", "np"]


class _Later(ModuleType):
    """Stands for a module until one of its names is asked for, then hands on what that has."""

    def __getattr__(self, name: str) -> Any:
        if name.startswith("__"):  # inspection of modules must not import them
            raise AttributeError(name)
        found = getattr(import_module(self.__name__), name)
        setattr(self, name, found)
        return found


def lazily(name: str) -> Any:
    """Return a stand-in for the module of this dotted name, which is imported on first use.

    For names used inside functions only: one used while a module is being read imports at once.
    """
    return _Later(name)


if not TYPE_CHECKING:
    # One stand-in for all, which the type check reads as numpy itself. A type with a name of
    # numpy in it is quoted, or defined for the type check alone.
    np = lazily("numpy")
