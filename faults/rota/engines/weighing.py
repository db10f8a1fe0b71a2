"""What leaving a job out of a plan weighs: its priority, and within that what its waiting costs.

A priority is what a person said, so it rules: two steps of it never change places by waiting.
Minutes of driving, as all weights of a plan.
"""

from dataclasses import dataclass
from enum import StrEnum

# Both our own choice, no source: after so many days, or at so many gallons a day, waiting has
# taken a job half-way up to the next priority.
HALF_WAY_DAYS = 30
HALF_WAY_GAL_A_DAY = 1000.0


@dataclass(frozen=True, slots=True)
class Waiting:
    """How a job waits.

    Args:
        days: since it was reported; 0 where nobody reported anything.
        gallons_a_day: what its stations water beyond their need; None = not known.

    Raises:
        ValueError: days or gallons below 0.
    """

    days: int
    gallons_a_day: float | None = None

    def __post_init__(self) -> None:
        if self.days < 0 or (self.gallons_a_day or 0) < 0:
            raise ValueError(f"Expected days and gallons of 0 or more, got {self}")


def weight(base_min: int, waiting: Waiting) -> int:
    """Return what leaving a job out weighs: from its priority's minutes to below twice of them.

    Each priority weighs twice the one below it, so a job never weighs as much as the next one.
    """
    rests = HALF_WAY_DAYS / (HALF_WAY_DAYS + waiting.days)
    rests *= HALF_WAY_GAL_A_DAY / (HALF_WAY_GAL_A_DAY + (waiting.gallons_a_day or 0.0))
    return min(2 * base_min - 1, base_min + int(base_min * (1 - rests)))


class Cause(StrEnum):
    """What a proposed priority comes from."""

    WAITS = "waits"
    WATER = "water"
    PROMISE = "promise"


@dataclass(frozen=True, slots=True)
class Proposal:
    """A priority with what it comes from; without causes nothing speaks for more than the least."""

    priority: int
    causes: tuple[Cause, ...] = ()


LEAST_PRIORITY = 1
# From which days, gallons a day, and days until a promise on a job is proposed as of a priority.
# Our own choice, no source; who plans overrules it.
BY_DAYS = ((30, 3), (7, 2))
BY_GAL_A_DAY = ((5000.0, 4), (1000.0, 3), (200.0, 2))
BY_PROMISE_DAYS = ((1, 4), (7, 3))


def proposed(waiting: Waiting, promised_in_days: int | None) -> Proposal:
    """Return the priority that waiting asks for: the highest of what days, water and promises do.

    Args:
        promised_in_days: until the day that was promised, below 0 = it is over; None = none was.
    """
    water = waiting.gallons_a_day or 0.0
    found = {
        Cause.WAITS: next((p for days, p in BY_DAYS if waiting.days >= days), 0),
        Cause.WATER: next((p for gallons, p in BY_GAL_A_DAY if water >= gallons), 0),
        Cause.PROMISE: 0
        if promised_in_days is None
        else next((p for days, p in BY_PROMISE_DAYS if promised_in_days <= days), 0),
    }
    most = max(found.values())
    if not most:
        return Proposal(LEAST_PRIORITY)
    return Proposal(most, tuple(cause for cause in Cause if found[cause] == most))
