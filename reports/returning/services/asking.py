"""What a user asks for: how many hours, until when, what counts besides water and visits."""

from dataclasses import asdict, dataclass
from datetime import date, timedelta
from typing import Any, Self

from sites.models import Property
from sites.stopgaps.engines.spells import in_season
from sites.water.engines.inputs import Season

YEAR = timedelta(days=365)
SOON, ONE = timedelta(days=60), timedelta(days=1)


@dataclass(frozen=True)
class Asked:
    """One question.

    Args:
        hours: of a crew.
        people: in that crew, for what it costs.
        until: the day before which savings count.
        in_water: weigh gallons of excess instead of money.
        place: the key of one property; None for all.
        budget: money at most for the crew's hours; None for no limit.
        promise_worth: money for a station that a job has to bring back before `until`.
        month_worth: money for each month that a station has been off so far.
        currency: the prices that are compared; "" where no list names one.
    """

    hours: float
    people: int
    until: date
    in_water: bool = False
    place: int | None = None
    budget: float | None = None
    promise_worth: float = 0.0
    month_worth: float = 0.0
    currency: str = ""

    def as_arguments(self) -> dict[str, Any]:
        """Return it as it is kept with the run."""
        return asdict(self) | {"until": self.until.isoformat()}

    @classmethod
    def of(cls, kept: dict[str, Any]) -> Self:
        """Return what was kept."""
        return cls(**{**kept, "until": date.fromisoformat(kept["until"])})


def season_ends(places: list[Property], today: date) -> date:
    """Return the end of the season that goes on for some time, or else of the next one.

    Of several properties the latest counts: savings of a property end with its own season anyway.
    Without any season it is a year.
    """
    seasons = {place.season for place in places if place.season is not None}
    return max((_next_end(season, today) for season in seasons), default=today + YEAR)


def _next_end(season: Season, today: date) -> date:
    """Return the first end of the season that leaves enough days to weigh a return by."""
    days = (today + SOON + timedelta(days=n) for n in range(1, 2 * YEAR.days))
    ends = (day for day in days if in_season(day - ONE, season) and not in_season(day, season))
    return next(ends, today + YEAR)
