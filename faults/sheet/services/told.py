"""One thing from a phone, and how its words and numbers are read."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from faults.models import Job
from sites.cells.engines.possible_days import is_possible
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct
from sites.models import User

LONGEST_WORDS = 2000


class UnableToTakeIn(UnableToAct):
    """What the phone sent cannot be read, or is not this person's to send."""


class WroteSomethingElse(UnableToAct):
    """A conflict: another user has written another value meanwhile; both stand in the answer."""

    def __init__(self, *, mine: str, theirs: str) -> None:
        super().__init__(
            _("Somebody else wrote “%(theirs)s” meanwhile; you wrote “%(mine)s”. Which holds?")
            % {"mine": mine, "theirs": theirs}
        )
        self.mine, self.theirs = mine[:200], theirs[:200]


@dataclass(frozen=True)
class Said:
    """The body of one thing, read with refusals instead of crashes."""

    body: Mapping[str, Any]
    today: date | None = None

    def words(self, name: str, most: int = LONGEST_WORDS) -> str:
        """Return a text without spaces around it, empty where nothing was said."""
        value = self.body.get(name)
        if value is None:
            return ""
        if not isinstance(value, str):
            raise self._unreadable(name)
        return value.strip()[:most]

    def number(self, name: str) -> float | None:
        """Return a number, or None where nothing was said."""
        value = self.body.get(name)
        if value is None or value == "":
            return None
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self._unreadable(name)
        if not -1e9 < value < 1e9:
            raise self._unreadable(name)
        return float(value)

    def whole(self, name: str) -> int | None:
        """Return a whole number, or None where nothing was said."""
        value = self.number(name)
        return None if value is None else round(value)

    def key(self, name: str) -> int | None:
        """Return the key of a row, or None where nothing was said."""
        value = self.body.get(name)
        if value is None or value == "":
            return None
        try:
            return int(value)
        except (TypeError, ValueError) as problem:
            raise self._unreadable(name) from problem

    def keys(self, name: str) -> list[int]:
        """Return keys of rows."""
        try:
            return [int(each) for each in self.many(name)]
        except (TypeError, ValueError) as problem:
            raise self._unreadable(name) from problem

    def many(self, name: str) -> Sequence[Any]:
        """Return a list, empty where nothing was said."""
        value = self.body.get(name) or []
        if not isinstance(value, list):
            raise self._unreadable(name)
        return value

    def ticked(self, name: str) -> bool:
        """Return whether something was ticked."""
        return self.body.get(name) is True

    def flag(self, name: str) -> bool | None:
        """Return yes or no, or None where nothing was said."""
        value = self.body.get(name)
        if value is not None and not isinstance(value, bool):
            raise self._unreadable(name)
        return value

    def day(self, name: str) -> date | None:
        """Return a day, or None where nothing was said."""
        words = self.words(name)
        if not words:
            return None
        try:
            day = date.fromisoformat(words)
        except ValueError as problem:
            raise self._unreadable(name) from problem
        if self.today is not None and not is_possible(day, self.today):
            raise self._unreadable(name)
        return day

    def time(self, name: str) -> time | None:
        """Return a time of day, or None where nothing was said."""
        words = self.words(name, 8)
        if not words:
            return None
        try:
            return time.fromisoformat(words)
        except ValueError as problem:
            raise self._unreadable(name) from problem

    def uuid(self, name: str) -> UUID | None:
        """Return the key of another thing from a phone, or None where none is named."""
        words = self.words(name)
        if not words:
            return None
        try:
            return UUID(words)
        except ValueError as problem:
            raise self._unreadable(name) from problem

    def _unreadable(self, name: str) -> UnableToTakeIn:
        return UnableToTakeIn(
            _("“%s” could not be read. Open the sheet again, and enter it once more.") % name
        )


@dataclass(frozen=True)
class Item:
    """One thing from a phone, and who sends it; `on` is the day that it happened, there.

    `is_over` says that the sender saw both values of a conflict, and that its own holds.
    """

    id: UUID
    kind: str
    job: Job
    said: Said
    by: User
    at: datetime
    on: date
    today: date
    now: datetime
    is_over: bool = False


# Takes one thing in by the verbs, and returns what it made, such as "break:17", or "".
Take = Callable[[Item], str]


@dataclass(frozen=True)
class Kind:
    """A kind of thing: the right that its verb asks for, and what takes it in."""

    action: Action
    take: Take


KINDS: dict[str, Kind] = {}


def kind(name: str, action: Action) -> Callable[[Take], Take]:
    """Enter a function into the table of kinds."""

    def decorate(take: Take) -> Take:
        if name in KINDS:
            raise ValueError(f"Expected a new kind, got {name!r} twice")
        KINDS[name] = Kind(action, take)
        return take

    return decorate
