"""What a forecast needs of a company: its past, the work and worth of what is off, answers."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from faults.access import asked_for, crews_for
from faults.models import Fault
from reports.ahead.engines.forecast import Known
from reports.ahead.engines.past import Past
from reports.ahead.engines.queue import NEVER
from reports.lasting.engines.lasting import Curve, Lasted, curve
from reports.lasting.services.times import TimeOff, times_off
from reports.returning.services.asking import Asked, season_ends
from reports.returning.services.gathering import Gathered
from reports.returning.services.gathering import gather as gather_returns
from sites.kernel.access import properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.lazily import np
from sites.models import User
from sites.runs.services import Progress
from sites.stopgaps.engines.spells import Reason

# Seasons and crews of longer ago say little of the coming year.
MOST_DAYS = 3 * 365.25
# So many days of answers stand for their whole distribution.
_POINTS = 20
_ANSWERS_SINCE_DAYS = 730


@dataclass(frozen=True)
class Company:
    """All of it. `places` are keys by the number of a place; `stay` counts who stays off there.

    `crews` are those in use; `minutes` what an ordinary return is expected to take.
    """

    past: Past
    known: Known
    places: list[int]
    stay: Counter[int]
    undated: int
    crews: int
    minutes: float | None
    answers: int


def gather(
    progress: Progress, *, user: User, places: Sequence[int], today: date, at: datetime
) -> Company:
    """Return what is known of all properties whose costs the user sees."""
    times = times_off(places, today=today)
    every = [*times.rows, *times.undated]
    theirs = Reason.CLIENT.value
    rows = sorted(
        (row for row in every if row.reason != theirs), key=lambda row: (row.latest, row.station)
    )
    numbers = {place: n for n, place in enumerate(places)}
    past = _past(rows, numbers, today)
    returns = _returns(progress, user, today, at)
    answers, asked, n = _answers(user, today)
    work, worth, minutes = _work(returns, [row for row in rows if _is_open(row)])
    stay = Counter(
        row.place for row in every if row.is_off and (row.reason == theirs or row.end is not None)
    )
    return Company(
        past,
        Known(work, worth, answers, asked),
        list(places),
        stay,
        sum(row.end is None for row in times.undated),
        crews_for(user).filter(retired_on=None).count(),
        minutes,
        n,
    )


def _is_open(row: TimeOff) -> bool:
    return row.end is None


def _past(rows: Sequence[TimeOff], numbers: dict[int, int], today: date) -> Past:
    off_on = np.array([(row.latest - today).days for row in rows], float)
    back_on = np.array(
        [NEVER if _is_open(row) else (row.until - today).days for row in rows], float
    )
    events: dict[tuple[int, date], int] = {}
    event = [events.setdefault((row.place, row.latest), len(events)) for row in rows]
    # Times that are over are known since records began; those that go on may be older.
    seen = [(row.seen - today).days for row in rows if not _is_open(row)]
    since = max(min(seen, default=0), -MOST_DAYS)
    place = [numbers[row.place] for row in rows]
    year_day = float(today.timetuple().tm_yday - 1)
    return Past(off_on, back_on, np.array(event, int), np.array(place, int), since, year_day)


def _returns(progress: Progress, user: User, today: date, at: datetime) -> Gathered:
    seen = list(properties_for(user, Action.SEE_RATES).order_by("pk"))
    asked = Asked(hours=1, people=1, until=season_ends(seen, today), in_water=True)
    return gather_returns(progress, user=user, asked=asked, at=at)


def _work(found: Gathered, rows: Sequence[TimeOff]) -> tuple[Any, Any, float | None]:
    """Return work in that of an ordinary return, worth in gallons, and its minutes."""
    shared = Counter(name for case in found.cases.values() for name in case.set_ups)
    minutes, worth = {}, {}
    for key, case in found.cases.items():
        share = sum(found.taking.minutes[name] / shared[name] for name in case.set_ups)
        minutes[key], worth[key] = case.own_min + share, case.worth
    mean = sum(minutes.values()) / len(minutes) if minutes else None
    if not mean:
        return np.ones(len(rows)), np.full(len(rows), np.nan), None
    work = [max(minutes.get(row.station, mean) / mean, 0.02) for row in rows]
    known = [worth.get(row.station) for row in rows]
    return np.array(work), np.array([np.nan if each is None else each for each in known]), mean


def _answers(user: User, today: date) -> tuple[Any, float, int]:
    """Return days that clients take, the share of faults for which one is asked, how many were.

    A question that still waits counts as one of at least its age.
    """
    rows = asked_for(user, Action.SEE_FAULTS).values_list("fault", "asked_on", "answered_on")
    lately = [row for row in rows if (today - row[1]).days <= _ANSWERS_SINCE_DAYS]
    waits = [
        Lasted(
            0.0, float(((answered or today) - asked).days) + 0.5, "answered" if answered else None
        )
        for _fault, asked, answered in lately
    ]
    found = curve(waits, horizon=365)
    if found is None or not found.ended:
        return np.zeros(0), 0.0, len(waits)
    since = date.fromordinal(today.toordinal() - _ANSWERS_SINCE_DAYS)
    faults = Fault.objects.filter(
        property__in=properties_for(user, Action.SEE_RATES), reported_on__gte=since
    ).count()
    share = min(1.0, len({row[0] for row in lately}) / faults) if faults else 0.0
    return _spread(found), share, len(waits)


def _spread(found: Curve) -> Any:
    """Return days at even shares of the curve; where it ends early, the last that was seen."""
    shares = (np.arange(_POINTS) + 0.5) / _POINTS
    days = [
        next((step.day for step in found.steps if 1 - step.share >= share), found.until)
        for share in shares
    ]
    return np.array(days)
