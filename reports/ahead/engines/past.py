"""What a company has seen so far, as a forecast needs it: days counted from today, which is 0."""

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from reports.ahead.engines.queue import NEVER, OLD_DAYS
from sites.kernel.lazily import np

if TYPE_CHECKING:
    Floats = np.ndarray

YEAR = 365.25
MONTH = YEAR / 12
# So many years of the ordinary rate are put to each month's own: one busy June makes no season.
SHRINK_YEARS = 0.5
# The rate of a coming year differs from the years before it by so much, as a share. Our own choice.
YEARS_DIFFER = 0.2


@dataclass(frozen=True)
class Past:
    """Times off of all stations: arrays, one entry each.

    `event` is the same number for stations that went off together. `since` is the day from which
    on all of them were written down; `year_day` the day of the year that today is, from 0.

    Raises:
        ValueError: lengths differ, or records begin after today.
    """

    off_on: "Floats"
    back_on: "Floats"
    event: "Floats"
    place: "Floats"
    since: float
    year_day: float

    def __post_init__(self) -> None:
        lengths = {len(each) for each in (self.off_on, self.back_on, self.event, self.place)}
        if len(lengths) != 1 or self.since > 0:
            raise ValueError(f"Expected equal lengths and since <= 0, got {lengths}, {self.since}")

    @cached_property
    def open(self) -> "Floats":
        """Which of them go on today."""
        return (self.off_on <= 0) & (self.back_on > 0)

    def known_on(self, day: float) -> "Past":
        """Return what was known on a past day, which is 0 then."""
        seen = self.off_on <= day
        back_on = self.back_on[seen] - day
        return Past(
            self.off_on[seen] - day,
            np.where(back_on > 0, NEVER, back_on),
            self.event[seen],
            self.place[seen],
            self.since - day,
            (self.year_day + day) % YEAR,
        )

    def off(self, day: float) -> int:
        """Return how many were off at the end of a day."""
        return int(((self.off_on <= day) & (self.back_on > day)).sum())

    def old(self, day: float) -> int:
        """Return how many had been off longer than a year by then."""
        return int(((self.off_on < day - OLD_DAYS) & (self.back_on > day)).sum())

    def returned(self, days: float) -> int:
        """Return how many came back within the last days."""
        return int(((self.back_on > -days) & (self.back_on <= 0)).sum())

    @cached_property
    def events(self) -> list["Floats"]:
        """The places of the stations of each event since records began."""
        inside = np.flatnonzero((self.off_on > self.since) & (self.off_on <= 0))
        inside = inside[np.argsort(self.event[inside], kind="stable")]
        cuts = np.flatnonzero(np.diff(self.event[inside])) + 1
        return [self.place[each] for each in np.split(inside, cuts)] if len(inside) else []

    @cached_property
    def rates(self) -> tuple["Floats", "Floats"]:
        """Return shape and years of each month's events a year: a gamma distribution each."""
        inside = (self.off_on > self.since) & (self.off_on <= 0)
        _numbers, firsts = np.unique(self.event[inside], return_index=True)
        counts = np.bincount(self._month(self.off_on[inside][firsts]), minlength=12)
        days = np.arange(np.ceil(self.since), 0.0)
        years = np.bincount(self._month(days), minlength=12) / MONTH
        mean = counts.sum() / max(years.sum(), 1 / 12)
        shape = counts + SHRINK_YEARS * max(mean, 0.5 / 12)
        return shape, years + SHRINK_YEARS

    def _month(self, days: "Floats") -> "Floats":
        return (((self.year_day + days) % YEAR) // MONTH).astype(int) % 12

    def month_ahead(self, days: "Floats") -> "Floats":
        """Return in which twelfth of the year each coming day lies."""
        return self._month(days)
