"""When the turns of a round begin and are due, and which of them is to be planned now.

Intervals are recurrence rules as RFC 5545 (3.3.10) has them, read by dateutil. Days are days of
the property's time zone.
"""

from calendar import isleap
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from enum import StrEnum

from dateutil.rrule import rrulestr

MonthDay = tuple[int, int]
Season = tuple[MonthDay, MonthDay]
# Every day of a month that some month lacks: a rule on the 31st would else skip half the months,
# because RFC 5545 leaves out days that do not exist.
LATE_DAYS = range(29, 32)
UNITS = {"days": "DAILY", "weeks": "WEEKLY", "months": "MONTHLY", "years": "YEARLY"}
MOST_EVERY = 120


class Repeats(StrEnum):
    """What makes the next turn of a round."""

    ONCE = "once"
    SEASON_START = "season start"
    SEASON_END = "season end"
    INTERVAL = "interval"


class UnreadableRule(ValueError):
    """The recurrence rule cannot be read, or is not one of ours."""


@dataclass(frozen=True, slots=True)
class Rhythm:
    """When a round comes back.

    Args:
        starts_on: no turn has its day before this one.
        days_before: a turn begins so many days before its day.
        within_days: it is to be done so many days after it begins.
        rule: of an interval, the recurrence rule.
    """

    repeats: Repeats
    starts_on: date
    days_before: int = 0
    within_days: int = 14
    rule: str = ""

    def __post_init__(self) -> None:
        if self.days_before < 0 or self.within_days < 1:
            raise ValueError(
                f"Expected days_before >= 0 and within_days >= 1, got {self.days_before} and "
                f"{self.within_days}"
            )


@dataclass(frozen=True, slots=True, order=True)
class Turn:
    """One time that a round comes to a property.

    Args:
        name: the year of a season, which stays when the season's days are changed; else the day.
    """

    begins_on: date
    due_on: date
    name: str


@dataclass(frozen=True, slots=True)
class Made:
    """A turn that was planned: whether its visit is still open, else the day on which it ended."""

    name: str
    begins_on: date
    is_open: bool
    ended_on: date | None = None


def rule_of(every: int, unit: str, starts_on: date) -> str:
    """Return the recurrence rule of "every 6 months", on the day of the month of `starts_on`.

    A day that a month lacks is its last one: from January 31 every month comes February 28.
    """
    if unit not in UNITS or not 0 < every <= MOST_EVERY:
        raise ValueError(f"Expected 1 to {MOST_EVERY} of {list(UNITS)}, got {every} {unit}")
    rule = f"FREQ={UNITS[unit]};INTERVAL={every}"
    day = starts_on.day
    if unit == "months" and day in LATE_DAYS:
        days = ",".join(str(each) for each in range(28, day + 1))
        return f"{rule};BYMONTHDAY={days};BYSETPOS=-1"
    if unit == "years" and (starts_on.month, day) == (2, 29):
        return f"{rule};BYMONTH=2;BYMONTHDAY=28,29;BYSETPOS=-1"
    return rule


def every_of(rule: str) -> tuple[int, str]:
    """Return "every 6 months" of a rule that `rule_of` made."""
    parts = dict(part.split("=", 1) for part in rule.split(";") if "=" in part)
    units = {word: unit for unit, word in UNITS.items()}
    try:
        return int(parts.get("INTERVAL", "1")), units[parts["FREQ"]]
    except (KeyError, ValueError) as problem:
        raise UnreadableRule(rule) from problem


def turns_of(rhythm: Rhythm, season: Season | None, *, since: date, until: date) -> list[Turn]:
    """Return the turns that begin from `since` to `until`, both included, in their order.

    A round by the season has none where the property has no season.
    """
    before = timedelta(days=rhythm.days_before)
    if rhythm.repeats is Repeats.ONCE:
        days = [(rhythm.starts_on, rhythm.starts_on.isoformat())]
    elif rhythm.repeats is Repeats.INTERVAL:
        days = [(day, day.isoformat()) for day in _by_rule(rhythm, until + before)]
    else:
        days = _by_season(rhythm, season, until + before)
    turns = [
        Turn(day - before, day - before + timedelta(days=rhythm.within_days), name)
        for day, name in days
        if day >= rhythm.starts_on
    ]
    return [turn for turn in turns if since <= turn.begins_on <= until]


def _by_rule(rhythm: Rhythm, until: date) -> list[date]:
    try:
        rule = rrulestr(rhythm.rule, dtstart=datetime.combine(rhythm.starts_on, time()))
    except (ValueError, KeyError, TypeError) as problem:
        raise UnreadableRule(rhythm.rule) from problem
    first = datetime.combine(rhythm.starts_on, time())
    return [each.date() for each in rule.between(first, datetime.combine(until, time()), inc=True)]


def _by_season(rhythm: Rhythm, season: Season | None, until: date) -> list[tuple[date, str]]:
    if season is None:
        return []
    start, end = season
    month_day = start if rhythm.repeats is Repeats.SEASON_START else end
    years = range(rhythm.starts_on.year, until.year + 1)
    return [(in_year(month_day, year), str(year)) for year in years]


def in_year(month_day: MonthDay, year: int) -> date:
    """Return a day of the year; February 29 is February 28 in years that lack it."""
    month, day = month_day
    if (month, day) == (2, 29) and not isleap(year):
        day = 28
    return date(year, month, day)


def not_while_shut_down(day: date, season: Season) -> date:
    """Return a day; where it lies between shut-down and start-up, the shut-down day before it."""
    start, end = season
    years = range(day.year - 1, day.year + 2)
    shut_down = max(on for year in years if (on := in_year(end, year)) <= day)
    start_up = min(on for year in years if (on := in_year(start, year)) > shut_down)
    return shut_down if day < start_up else day


def turn_to_plan(
    turns: Collection[Turn], made: Sequence[Made], *, today: date, until: date
) -> Turn | None:
    """Return the one turn that is to be planned now, if there is one.

    None while an earlier visit is still open: what is late is not due a second time. A turn that
    begins on or before the day on which the visit before it ended was done with that visit. Of
    turns that were missed only the newest is planned.

    Args:
        until: so far ahead visits are planned, by the day on which they begin.
    """
    if any(each.is_open for each in made):
        return None
    names = {each.name for each in made}
    last = max(
        (max(each.begins_on, each.ended_on or each.begins_on) for each in made), default=None
    )
    left = sorted(
        turn
        for turn in turns
        if turn.begins_on <= until
        and turn.name not in names
        and (last is None or turn.begins_on > last)
    )
    begun = [turn for turn in left if turn.begins_on <= today]
    if begun:
        return begun[-1]
    return left[0] if left else None
