"""Plain values one by one: each is read with its name, so that an error can say which."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, TypeVar

Id = int | str
Given = TypeVar("Given")
Word = TypeVar("Word", bound=StrEnum)


class UnusablePlain(ValueError):
    """A plain value that cannot be read; the message says what was expected."""


@dataclass(frozen=True)
class Ids:
    """Identifiers of the points 0..n + 1 and the legs 0..n of a line."""

    points: tuple[Id, ...]
    legs: tuple[Id, ...]

    def __post_init__(self) -> None:
        for what, ids in (("point", self.points), ("leg", self.legs)):
            if len(set(ids)) != len(ids):
                raise UnusablePlain(f"Expected each {what} once, got {written(list(ids))}")

    def point_at(self, id_: object, name: str) -> int:
        """Return the place of a point on the line."""
        return _place(self.points, id_, name, "point")

    def box_at(self, id_: object, name: str) -> int:
        """Return the place of a point that is a box: neither the controller nor the valve."""
        at = self.point_at(id_, name)
        if not 0 < at < len(self.points) - 1:
            raise UnusablePlain(f"Expected a box of this wire as {name}, got an end of it, {id_}")
        return at

    def leg_at(self, id_: object, name: str) -> int:
        """Return the place of a leg on the line."""
        return _place(self.legs, id_, name, "leg")


def _place(ids: tuple[Id, ...], id_: object, name: str, what: str) -> int:
    if isinstance(id_, bool) or not isinstance(id_, int | str) or id_ not in ids:
        raise UnusablePlain(f"Expected a {what} of this wire as {name}, got {written(id_)}")
    return ids.index(id_)


def written(value: object) -> str:
    """Return a value as the message of an error shows it: short."""
    words = "nothing" if value is None else repr(value)
    return words if len(words) <= 60 else words[:57] + "..."


def object_from(value: object, what: str) -> Mapping[str, Any]:
    """Read a JSON object."""
    if not isinstance(value, Mapping):
        raise UnusablePlain(f"Expected named values as {what}, got {written(value)}")
    return value


def items_from(given: Mapping[str, Any], name: str) -> list[Any]:
    """Read a list."""
    value = given.get(name)
    if not isinstance(value, list | tuple):
        raise UnusablePlain(f"Expected a list as {name}, got {written(value)}")
    return list(value)


def number_from(value: object, name: str) -> float:
    """Read a finite number."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise UnusablePlain(f"Expected a number as {name}, got {written(value)}")
    return float(value)


def flag_from(value: object, name: str) -> bool:
    """Read true or false."""
    if not isinstance(value, bool):
        raise UnusablePlain(f"Expected true or false as {name}, got {written(value)}")
    return value


def text_from(value: object, name: str) -> str:
    """Read a text."""
    if not isinstance(value, str):
        raise UnusablePlain(f"Expected a text as {name}, got {written(value)}")
    return value


def optional(read: Callable[[object, str], Given]) -> Callable[[object, str], Given | None]:
    """Return a reader that takes nothing for an answer."""
    return lambda value, name: None if value is None else read(value, name)


def enum_from(kind: type[Word]) -> Callable[[object, str], Word]:
    """Return a reader of one of some words."""

    def read(value: object, name: str) -> Word:
        for each in kind:
            if each.value == value:
                return each
        words = ", ".join(each.value for each in kind)
        raise UnusablePlain(f"Expected one of {words} as {name}, got {written(value)}")

    return read
