"""What the families of rules share: where causes come from, and what each raises."""

import zoneinfo
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from django.db.models import QuerySet

from faults.models import FollowUpKind


@dataclass(frozen=True)
class Candidate:
    """What one cause asks for.

    `cause` is "word:key of the source:what makes it another time", such as
    "device:12:2026-03-01". `due_on` None means: as soon as it is raised.
    """

    cause: str
    property_id: int
    time_zone: str
    due_on: date | None
    links: dict[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Told:
    """The input of a rule when it computes days: its own number of days, and the time."""

    days: int
    at: datetime
    # What a rule works out once for all of its chunks.
    kept: dict[str, Any] = field(default_factory=dict, compare=False)

    def today(self, time_zone: str) -> date:
        """Return the day that it is in a property's zone."""
        return local_day(time_zone, self.at)


@dataclass(frozen=True)
class Family:
    """One kind of rule.

    Args:
        sources: the rows that can be a cause now; one that is no longer among them lapses.
        candidates: what a chunk of these rows asks for, in few queries.
        key: the field of a source that stands in its cause.
        late_days: what was due longer ago is history when it is first seen, and not raised.
    """

    kind: FollowUpKind
    sources: Callable[[], QuerySet[Any]]
    candidates: Callable[[Sequence[Any], Told], list[Candidate]]
    key: str = "pk"
    late_days: int | None = None

    def chunks(self, size: int) -> Iterator[list[object]]:
        """Yield all sources by their keys, some at a time."""
        last = 0
        while rows := self._after(last, size):
            yield rows
            last = getattr(rows[-1], self.key)

    def _after(self, last: int, size: int) -> list[object]:
        rows = self.sources().filter(**{f"{self.key}__gt": last})
        return list(rows.order_by(self.key)[:size])

    def of_causes(self, causes: Sequence[str], told: Told) -> dict[str, Candidate]:
        """Return what these causes ask for now; one that is gone is left out."""
        keys = {int(cause.split(":")[1]) for cause in causes}
        rows = list(self.sources().filter(**{f"{self.key}__in": keys}).order_by(self.key))
        return {each.cause: each for each in self.candidates(rows, told)}


def local_day(time_zone: str, at: datetime) -> date:
    """Return the day that it is in a time zone."""
    return at.astimezone(zoneinfo.ZoneInfo(time_zone)).date()
