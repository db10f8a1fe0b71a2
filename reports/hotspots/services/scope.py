"""What is in view: properties, days and causes; all of it stands in the address."""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import Self

from faults.models import Cause

# What happens to the ground, whatever wires lie in it; a cause nobody knows is taken as one.
GROUND_CAUSES = frozenset(
    {
        Cause.RODENT.value,
        Cause.SHOVEL.value,
        Cause.ROOT.value,
        Cause.ROCK.value,
        Cause.TRENCHING.value,
        Cause.LIGHTNING.value,
        Cause.NOT_KNOWN.value,
    }
)
# What happens to each wire by itself: twice the wires, twice the faults.
WIRE_CAUSES = frozenset({Cause.SPLICE.value, Cause.CORROSION.value, Cause.AGE.value})


class Family(StrEnum):
    """Which causes are in view."""

    ALL = "all"
    GROUND = "ground"
    WIRE = "wire"


@dataclass(frozen=True)
class Scope:
    """Days [from_on, to_on) and causes; `from_on` None takes all that is known."""

    to_on: date
    from_on: date | None = None
    family: Family = Family.ALL
    cause: str = ""

    @classmethod
    def up_to(cls, day: date) -> Self:
        """Return all causes and all days up to this one, this one too."""
        return cls(day + timedelta(days=1))

    @property
    def is_whole(self) -> bool:
        """Whether all causes and all days up to the last one are in view."""
        return self.from_on is None and self.counts_unlocated

    def counts(self, cause: str) -> bool:
        """Return whether faults of this cause are in view."""
        if self.cause:
            return cause == self.cause
        if self.family is Family.ALL:
            return True
        return cause in (GROUND_CAUSES if self.family is Family.GROUND else WIRE_CAUSES)

    @property
    def counts_unlocated(self) -> bool:
        """Whether faults of which nobody knows place and cause are in view."""
        return self.family is Family.ALL and not self.cause

    def holds(self, day: date) -> bool:
        """Return whether a day is in view."""
        return (self.from_on is None or day >= self.from_on) and day < self.to_on
