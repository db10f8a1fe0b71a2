"""What is said of a round as its verbs take it, and the errors of those verbs."""

from dataclasses import dataclass, fields
from datetime import date

from faults.models import Crew, Round
from faults.rounds.engines.turns import Repeats, Rhythm, Season
from sites.kernel.services.verbs import UnableToAct
from sites.models import Property, Station


class UnableToMakeRound(UnableToAct):
    """A round that cannot be so."""


class UnableToPlanRound(UnableToAct):
    """No visit of the round can be planned so."""


class UnableToLeaveOut(UnableToAct):
    """This station or timer cannot be left out of that visit."""


@dataclass(frozen=True)
class StopFacts:
    """A property of a round; no stations = all that its purpose goes to there."""

    place: Property
    stations: tuple[Station, ...] = ()


@dataclass(frozen=True)
class RoundFacts:
    """What is said of a round as a whole.

    Args:
        rule: of an interval, its recurrence rule as RFC 5545 writes it.
        minutes_each: for each station or timer; None = the minutes of the kind of job a visit.
    """

    name: str
    purpose: str
    repeats: str
    starts_on: date
    rule: str = ""
    days_before: int = 0
    within_days: int = 14
    minutes_each: int | None = None
    crew: Crew | None = None
    notes: str = ""

    @classmethod
    def names(cls) -> list[str]:
        """Return the names of what is said, as the round keeps it."""
        return [each.name for each in fields(cls)]


def rhythm_of(one: Round | RoundFacts) -> Rhythm:
    """Return when a round comes back."""
    return Rhythm(Repeats(one.repeats), one.starts_on, one.days_before, one.within_days, one.rule)


def season_of(place: Property) -> Season | None:
    """Return the property's start-up and shut-down days; None where it has none, or half."""
    return place.season
