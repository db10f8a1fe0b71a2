"""The words of promises tried on the company's own finished faults.

Each is taken back to the day of its report, and to the day on which its first visit was planned:
the plan is played with what was known until then, and what it would have offered is held against
what came. So the chance that is stated can be judged before the first promise is due, and by more
than were given.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from faults.promises.engines.promising import Open, Option, play, share_kept
from faults.promises.services.habits import SINCE_DAYS, Finished, Past, past_since
from faults.promises.services.standing import Shares

# Plays of one fault; so many say a tenth to about two hundredths.
PLAYS = 500
# The newest of them are tried, so that the page stays quick at any size.
MOST_TRIED = 60


@dataclass(frozen=True)
class Tried:
    """How the words would have held on one kind of day.

    Args:
        shares: by what would have been stated.
        faults: of how many the day is known.
        without: for how many of those the plan would have offered no day.
    """

    shares: list[Shares]
    faults: int
    without: int


def options_on(day: date, one: Finished, past: Past) -> list[Option]:
    """Return the days, counted from this one, that the plan would have offered for a fault that
    nobody had visited; with its first visit if that was planned by then."""
    known = past.before(day)
    planned_in = None
    if one.planned is not None and one.planned[0] <= day:
        planned_in = max(0, (one.planned[1] - day).days)
    now = Open(waited=(day - one.reported_on).days, planned_in=planned_in)
    return play(now, known, seed=one.fault * 1000 + day.toordinal(), plays=PLAYS).options()


def tried_on_finished(*, at: datetime) -> tuple[Tried, Tried]:
    """Return how the words would have held for the newest finished faults that were visited: said
    on the day of the report, and on the day when the first visit was planned."""
    today = at.date()
    newest = past_since(today - timedelta(days=SINCE_DAYS)).finished[-MOST_TRIED:]
    oldest = min((one.reported_on for one in newest), default=today)
    past = past_since(oldest - timedelta(days=SINCE_DAYS))
    reported = [(one.reported_on, one) for one in newest]
    planned = [(one.planned[0], one) for one in newest if one.planned is not None]
    return _tried(reported, past), _tried(planned, past)


def _tried(days: Iterable[tuple[date, Finished]], past: Past) -> Tried:
    counts: dict[int, list[bool]] = defaultdict(list)
    faults = without = 0
    for day, one in days:
        options, took = options_on(day, one, past), (one.closed_on - day).days
        faults, without = faults + 1, without + (not options)
        for option in options:
            counts[option.tenths].append(took <= option.days)
    shares = [
        Shares(tenths, len(kept), sum(kept), *share_kept(sum(kept), len(kept)))
        for tenths, kept in sorted(counts.items())
    ]
    return Tried(shares, faults, without)
