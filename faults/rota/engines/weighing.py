"""What leaving a job out of a plan weighs: its priority, and within that what its waiting costs.

A priority is what a person said, so it rules: two steps of it never change places by waiting.
Minutes of driving, as all weights of a plan.
"""

from dataclasses import dataclass

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
