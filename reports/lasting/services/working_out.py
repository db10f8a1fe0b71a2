"""Work out in the background how long times off last, by what they have in common."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from typing import Any

from django.utils import timezone, translation
from django.utils.translation import gettext as _

from reports.lasting.engines.lasting import Curve, Lasted, compare, curve
from reports.lasting.services.times import TimeOff, Times, times_off
from reports.summaries.services.kept_runs import places_of
from sites.models import Property, User
from sites.runs.services import Progress, UnableToFinish

# To which day the mean goes, so that groups of different ages can be compared. Our own choice.
HORIZON_DAYS = 730
# As many points as a picture or a table can show.
MOST_POINTS, MOST_GROUPS = 80, 12

REASON, PLACE, CAUSE, CREW = "reason", "property", "cause", "crew"


def work_out_in_background(progress: Progress, *, user_id: int, **later: Any) -> dict[str, Any]:
    """Return what the page shows."""
    user = User.objects.get(pk=user_id)
    with translation.override(user.language):
        return worked_out(progress, places=places_of(user), today=timezone.localdate())


def worked_out(progress: Progress, *, places: Sequence[int], today: date) -> dict[str, Any]:
    """Return all curves as they are kept: plain numbers and stored values, no words."""
    progress.say(_("Reading every time off central control"))
    times = times_off(places, today=today)
    if not times.rows:
        raise UnableToFinish(_("No station has been off central control yet."))
    names = dict(Property.objects.filter(pk__in=places).values_list("pk", "code"))
    asked: list[tuple[str, Callable[[TimeOff], tuple[str, date | None] | None]]] = [
        (REASON, lambda row: (row.reason, None)),
        (PLACE, lambda row: (names[row.place], None)),
        (CAUSE, lambda row: row.cause and (row.cause.value, row.cause.since)),
        (CREW, lambda row: row.crew and (row.crew.value, row.crew.since)),
    ]
    found = _all(times)
    found["by"] = []
    for number, (name, of) in enumerate(asked):
        progress.say(_("Drawing curves"), number, len(asked))
        found["by"].append({"name": name, **_by(times.rows, of)})
    return found | {"today": today.isoformat()}


def _all(times: Times) -> dict[str, Any]:
    rows = times.rows
    found = curve(_lasted(rows, lambda row: row.middle), horizon=HORIZON_DAYS)
    early = curve(_lasted(rows, lambda row: row.earliest), horizon=HORIZON_DAYS)
    late = curve(_lasted(rows, lambda row: row.latest), horizon=HORIZON_DAYS)
    return {
        "times": len(rows),
        "open": sum(row.end is None for row in rows),
        "windows": sum(row.earliest != row.latest for row in rows),
        "unknown_start": len(times.undated),
        "over_before_seen": times.over_before_seen,
        "all": None if found is None else _kept(found),
        "band": [] if found is None or early is None or late is None else _band(found, early, late),
        "median_band": [each and each.median for each in (early, late)],
        "mean_band": [each and each.mean for each in (early, late)],
    }


def _lasted(rows: Iterable[TimeOff], start: Callable[[TimeOff], date]) -> list[Lasted]:
    return [one for row in rows if (one := row.lasted(start(row))) is not None]


def _by(
    rows: Iterable[TimeOff], of: Callable[[TimeOff], tuple[str, date | None] | None]
) -> dict[str, Any]:
    groups: dict[str, list[Lasted]] = defaultdict(list)
    without = 0
    for row in rows:
        value = of(row)
        if value is None:
            without += 1
            continue
        # What was found only later cannot have told its days before: the clock starts then.
        one = row.lasted(value[1] or row.middle)
        if one is not None:
            groups[value[0]].append(one)
    drawn: list[dict[str, Any]] = []
    few: list[list[Any]] = []
    for name, times in sorted(groups.items(), key=lambda each: (-len(each[1]), each[0])):
        found = curve(times, horizon=HORIZON_DAYS)
        if found is None or len(drawn) == MOST_GROUPS:
            few.append([name, len(times)])
        else:
            drawn.append({"name": name, **_kept(found)})
    compared = compare([groups[one["name"]] for one in drawn])
    return {
        "groups": drawn,
        "few": few,
        "without": without,
        "chance": None if compared is None else compared.chance,
    }


def _kept(found: Curve) -> dict[str, Any]:
    shown = _thinned(found.steps)
    return {
        "times": found.times,
        "ended": found.ended,
        "from_day": found.from_day,
        "until": found.until,
        "median": [found.median, found.median_low, found.median_high],
        "mean": [found.mean, found.mean_se, found.horizon],
        "steps": [[s.day, s.at_risk, s.share, s.low, s.high] for s in shown],
        "endings": {name: [list(each) for each in _thinned(line)]
                    for name, line in found.endings.items()},
    }  # fmt: skip


def _band(found: Curve, early: Curve, late: Curve) -> list[list[float]]:
    """Return the lowest and the highest share with all starts early or all late, by day."""
    lines = []
    for step in _thinned(found.steps):
        shares = [each.share_at(step.day) for each in (early, late, found)]
        lines.append([step.day, min(shares), max(shares)])
    return lines


def _thinned(line: Sequence[Any]) -> list[Any]:
    """Return at most so many of a line's points, its first and last among them."""
    if len(line) <= MOST_POINTS:
        return list(line)
    gap = (len(line) - 1) / (MOST_POINTS - 1)
    return [line[round(n * gap)] for n in range(MOST_POINTS)]
