"""Whether a new break lies where we mended before, within the days that we stand by our mend."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta


@dataclass(frozen=True, slots=True)
class Mend:
    """One of our own mends on a leg; `feet` are counted from the leg's first point.

    Raises:
        ValueError: the warranty ends before the mend.
    """

    source: int
    feet: float
    mended_on: date
    until: date

    def __post_init__(self) -> None:
        if self.until < self.mended_on:
            raise ValueError(f"Expected until >= mended_on, got {self.until} < {self.mended_on}")


def warranty_end(mended_on: date, agreed_days: int | None) -> date | None:
    """Return the last day of the agreed warranty on a mend, or None where none is agreed."""
    return None if agreed_days is None else mended_on + timedelta(days=agreed_days)


def feet_from_first_point(feet: float, length_ft: float, *, from_far_end: bool) -> float:
    """Return feet along a leg from its first point, whichever end they were taken from."""
    return length_ft - feet if from_far_end else feet


def nearest_own_mend(
    mends: Iterable[Mend], *, feet: float, found_on: date, within_ft: float
) -> Mend | None:
    """Return our nearest mend that still stood under warranty when the new break was found.

    Args:
        mends: on the same leg as the new break.
        within_ft: how near counts as the same place. Common practice, no source.
    """
    if within_ft < 0:
        raise ValueError(f"Expected within_ft >= 0, got {within_ft}")
    standing = [
        mend
        for mend in mends
        if mend.mended_on <= found_on <= mend.until and abs(mend.feet - feet) <= within_ft
    ]
    return min(standing, key=lambda mend: (abs(mend.feet - feet), mend.source), default=None)
