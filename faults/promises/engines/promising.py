"""By which day a fault is over: the plan played many times with the company's own delays.

Every part is drawn from what the company's own finished faults took, mixed with a few days of our
own choice (no source) as long as little is known. Faults that nobody has visited yet count too: of
a wait that is not over it is known how long it is at least (Kaplan and Meier, 1958), so a company
with a long queue is not judged by the lucky ones that left it. Days are counted from today, which
is 0.
"""

import random
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field
from math import ceil, erf, log, sqrt

PLAYS = 2000
# So many of the company's own count as much as all of the prior.
PRIOR_WEIGHT = 4
TENTHS = (5, 8, 9)
# A day further ahead is no promise.
LONGEST_DAYS = 400
# Below this a promise is more likely broken than kept.
SLIPS_BELOW = 0.5
# By which part of its length something that has lasted long lasts on. Our own choice, no source.
_LASTS_ON = (0.2, 0.4, 0.6, 0.8, 1.0)
# Weights are sums of parts: less than this is none.
_NOBODY = 1e-9
_Z90 = 1.2815515655446004


@dataclass(frozen=True)
class Habits:
    """What finished work took, in days; `visits` counts the visits that a fault took.

    `first`: from the report to the first visit. `unvisited`: from the report until now, of faults
    that are open and that nobody has visited, from 1. `slips`: from the planned to the real day.
    `gaps`: between two visits. `tails`: from the last visit to the return. `answers`: of clients.
    """

    first: Sequence[int] = ()
    slips: Sequence[int] = ()
    visits: Sequence[int] = ()
    gaps: Sequence[int] = ()
    tails: Sequence[int] = ()
    answers: Sequence[int] = ()
    unvisited: Sequence[int] = ()


# Our own choice, no source: how it goes where nobody has recorded anything.
PRIOR = Habits(
    first=(1, 2, 4, 7, 14),
    slips=(0, 0, 0, 1, 3),
    visits=(1, 1, 2, 2, 3),
    gaps=(1, 2, 5, 7, 14),
    tails=(0, 0, 1, 2, 5),
    answers=(1, 2, 4, 7, 14),
)


@dataclass(frozen=True)
class Open:
    """How one fault stands today.

    `planned_in`: days to its last planned visit, None without one; `waited`: days since its report;
    `visited`: visits that are over; `since_visit`: days since the last; `asked_since`: days since a
    client was asked who has not answered. `too_long`: the chance that a visit takes longer than
    its day has. `not_before`: days until anybody may go.
    """

    waited: int = 0
    visited: int = 0
    since_visit: int = 0
    planned_in: int | None = None
    not_before: int = 0
    asked_since: int | None = None
    too_long: float = 0.0


@dataclass(frozen=True)
class Option:
    """A day, counted from today, and in how many of ten plays the fault is over by then."""

    days: int
    tenths: int


@dataclass(frozen=True)
class Outlook:
    """On which day each play was over, sorted."""

    over: list[int] = field(default_factory=list)

    def chance(self, days: int) -> float:
        """Return the share of plays that are over so many days from today."""
        return bisect_right(self.over, days) / len(self.over)

    def options(self) -> list[Option]:
        """Return the first days said to hold 5, 8 and 9 times of ten; alike days once."""
        found: dict[int, Option] = {}
        for tenths in TENTHS:
            # The first day whose chance rounds to so many of ten.
            day = self.over[ceil((tenths - 0.5) / 10 * len(self.over)) - 1]
            if day <= LONGEST_DAYS:
                found[day] = Option(day, tenths_of(self.chance(day)))
        return list(found.values())


def tenths_of(chance: float) -> int:
    """Return a chance as it is said: in how many of ten, 9 at most."""
    return min(9, int(chance * 10 + 0.5))


def slips(chance: float, tenths: int) -> bool:
    """Return whether a promise slips: more likely broken than kept, and less sure than was said."""
    return chance < SLIPS_BELOW and tenths_of(chance) < tenths


def chance_too_long(mean_min: float, nine_of_ten_min: float, day_min: float) -> float:
    """Return the chance that work takes longer than a day has, lognormal through both numbers."""
    if mean_min <= 0 or day_min <= 0:
        return 0.0
    ratio = log(max(nine_of_ten_min, mean_min) / mean_min)
    # mean = exp(m + s²/2), the 90 % point = exp(m + 1.28 s): s is the smaller root.
    inside = _Z90 * _Z90 - 2 * ratio
    spread = _Z90 - sqrt(inside) if inside > 0 else _Z90
    if spread <= 0:
        return float(mean_min > day_min)
    middle = log(mean_min) - spread * spread / 2
    return 0.5 * (1 - erf((log(day_min) - middle) / spread / sqrt(2)))


def play(now: Open, habits: Habits, *, seed: int, plays: int = PLAYS) -> Outlook:
    """Return how a fault goes on from today, played so many times."""
    draw = _Draws(habits, random.Random(seed))
    return Outlook(sorted(_once(now, draw) for _each in range(plays)))


class _Draws:
    """Draws from the company's own, now and then from the prior."""

    def __init__(self, habits: Habits, rng: random.Random) -> None:
        self.habits, self.rng = habits, rng
        self.rests: dict[tuple[str, int], list[int]] = {}
        self.firsts: dict[int, tuple[list[int], list[float]]] = {}

    def one(self, name: str, *, above: int = -1) -> int:
        """Draw a value of a habit that is above this."""
        own = self._above(name, above)
        own_weight = len(own) / (len(own) + PRIOR_WEIGHT)
        if own and self.rng.random() < own_weight:
            return self.rng.choice(own)
        return self.rng.choice(_prior_above(name, above))

    def first(self, *, waited: int) -> int:
        """Draw after how many days from its report a fault is visited that has waited so long
        without a visit; more than any promise reaches where no end of such waits was seen."""
        if waited not in self.firsts:
            self.firsts[waited] = self._curve(waited)
        days, until = self.firsts[waited]
        place = bisect_right(until, self.rng.random())
        return days[place] if place < len(days) else waited + LONGEST_DAYS + 1

    def _curve(self, waited: int) -> tuple[list[int], list[float]]:
        """Return the days on which such waits end, and the chance that one has ended by each."""
        prior = _prior_above("first", waited - 1)
        ends = [(day, 1.0) for day in self._above("first", waited - 1)]
        ends = sorted(ends + [(day, PRIOR_WEIGHT / len(prior)) for day in prior])
        still = sorted(day for day in self.habits.unvisited if day >= waited)
        if waited in still:  # the fault itself
            still.remove(waited)
        days, until, left = [], [], 1.0
        at_risk, gone = sum(weight for _day, weight in ends) + len(still), 0
        for day, weight in ends:
            # Who has waited until that day was at risk on it.
            passed = bisect_left(still, day)
            at_risk, gone = at_risk - (passed - gone), passed
            left *= max(0.0, 1 - weight / at_risk)
            at_risk -= weight
            days.append(day)
            until.append(1 - left if at_risk > _NOBODY else 1.0)
        return days, until

    def _above(self, name: str, above: int) -> list[int]:
        key = (name, above)
        if key not in self.rests:
            self.rests[key] = [each for each in getattr(self.habits, name) if each > above]
        return self.rests[key]


def _prior_above(name: str, above: int) -> list[int]:
    prior = [each for each in getattr(PRIOR, name) if each > above]
    if prior:
        return prior
    if name == "visits":
        return [above + 1]
    # What has lasted longer than any of them lasts as much longer again, at most.
    return [above + max(1, round(above * part)) for part in _LASTS_ON]


def _once(now: Open, draw: _Draws) -> int:
    total = draw.one("visits", above=now.visited - (now.planned_in is None))
    left = total - now.visited
    if now.planned_in is not None:
        day = now.planned_in + draw.one("slips")
        left -= 1
    elif now.visited == 0:
        day, left = draw.first(waited=now.waited) - now.waited, left - 1
    elif left > 0:
        day, left = draw.one("gaps", above=now.since_visit - 1) - now.since_visit, left - 1
    else:  # the last visit was made: what is missing is the return
        return max(0, draw.one("tails", above=now.since_visit - 1) - now.since_visit)
    day = max(day, now.not_before)
    if now.asked_since is not None:
        day = max(day, draw.one("answers", above=now.asked_since - 1) - now.asked_since)
    if draw.rng.random() < now.too_long:
        day += 1
    for _more in range(max(0, left)):
        day += draw.one("gaps")
    return day + draw.one("tails")


def share_kept(kept: int, of: int) -> tuple[float, float]:
    """Return the 95 % interval of a share (Wilson, 1927). `of` is above 0."""
    z = 1.959963984540054
    middle = (kept + z * z / 2) / (of + z * z)
    half = z / (of + z * z) * sqrt(kept * (of - kept) / of + z * z / 4)
    return max(0.0, middle - half), min(1.0, middle + half)
