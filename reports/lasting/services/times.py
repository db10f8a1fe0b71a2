"""Every time off central control, from its start until it ended or today, as curves need it."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from itertools import groupby
from typing import NamedTuple

from faults.cases.engines.stages import Stage
from faults.models import Break, Cause, FaultStation, Job, JobState
from reports.lasting.engines.lasting import Lasted
from sites.models import Central, CentralState, SpellPart
from sites.register.queries.stations import TO_PROPERTY
from sites.stopgaps.engines.spells import Reason

# How a time ends besides the ways in which a station comes back (`HowReturned`).
RETIRED, CLIENT, NOT_WRITTEN = "retired", "client", "not written"


class Known(NamedTuple):
    """A value, and from which day on it was known: from then on it can explain an end."""

    value: str
    since: date


@dataclass(frozen=True)
class TimeOff:
    """One time off, from `latest` at the latest until `until`; `end` is None where it goes on.

    `earliest` is the first day on which it can have begun. `seen` is the
    day from which on it would have been known had it ended. `is_off` is true while the station is
    off, also where the client left it so and this time ended.
    """

    station: int
    place: int
    earliest: date
    latest: date
    seen: date
    until: date
    end: str | None
    reason: str
    is_off: bool
    cause: Known | None = None
    crew: Known | None = None

    @property
    def middle(self) -> date:
        """The middle of the days on which it can have begun."""
        return self.earliest + timedelta(days=(self.latest - self.earliest).days // 2)

    def lasted(self, start: date) -> Lasted | None:
        """Return it on a clock that starts on this day; None where it was over, or not seen."""
        entry, until = max((self.seen - start).days, 0), (self.until - start).days
        return Lasted(float(entry), float(until), self.end) if entry < until else None


@dataclass
class Times:
    """All times off. `undated` began on a day that nobody knows, before they were first seen."""

    rows: list[TimeOff] = field(default_factory=list)
    undated: list[TimeOff] = field(default_factory=list)
    over_before_seen: int = 0


class _Fault(NamedTuple):
    fault: int
    reported: date
    closed: date | None
    how: str


_PARTS = (
    "spell",
    "station",
    TO_PROPERTY,
    "from_on",
    "to_on",
    "reason",
    "stopgap",
    "stopgap__fitted_earliest",
    "stopgap__fitted_latest",
    "stopgap__first_seen_on",
    "station__controller",
    "station__retired_on",
    "station__controller__retired_on",
    "station__controller__property__retired_on",
    "station__controller__property__records_since",
)


def times_off(places: Collection[int], *, today: date) -> Times:
    """Return all times off central control at these properties: six queries for any number.

    A time ends where the station is back, where the client chose to leave it so, or where it is
    meant for central control no longer.
    """
    faults, found = _faults(places), Times()
    causes, crews = _causes(places), _crews(places)
    not_meant = _not_meant(places)
    for parts in _spells(places, today):
        row, fault = _time(parts, faults[parts[0].station], not_meant, today)
        if _is_undated(parts[0]):
            found.undated.append(row)
            continue
        if row.until <= max(row.seen, row.latest):
            # What began today, or was first seen later, goes on: nothing can be said of it yet.
            found.over_before_seen += row.end is not None
            continue
        if fault is not None:
            row = TimeOff(**(vars(row) | {"cause": causes.get(fault), "crew": crews.get(fault)}))
        found.rows.append(row)
    return found


class _Part(NamedTuple):
    spell: int
    station: int
    place: int
    from_on: date
    to_on: date | None
    reason: str
    stopgap: int | None
    fitted_earliest: date | None
    fitted_latest: date | None
    first_seen: date | None
    controller: int
    station_retired: date | None
    controller_retired: date | None
    place_retired: date | None
    records_since: date | None


def _spells(places: Collection[int], today: date) -> Iterator[list[_Part]]:
    rows = SpellPart.objects.filter(**{f"{TO_PROPERTY}__in": places}, from_on__lte=today)
    rows = rows.order_by("spell", "from_on", "pk")
    lines = (_Part(*line) for line in rows.values_list(*_PARTS).iterator())
    for _key, parts in groupby(lines, key=lambda part: part.spell):
        yield list(parts)


def _time(
    parts: list[_Part], faults: list[_Fault], not_meant: dict[int, set[date]], today: date
) -> tuple[TimeOff, int | None]:
    """Return a time off and the fault behind it."""
    first = parts[0]
    left = next((part for part in parts if part.reason == Reason.CLIENT.value), None)
    is_left = left is not None and first.reason != Reason.CLIENT.value
    to_on = left.from_on if left is not None and is_left else parts[-1].to_on
    until = today if to_on is None or to_on > today else to_on
    fault = next(
        (
            one
            for one in faults
            if one.reported <= until and (one.closed is None or one.closed >= first.from_on)
        ),
        None,
    )
    if to_on is None or to_on > today:
        end = None
    elif is_left:
        end = CLIENT
    elif _is_retired(first, to_on) or to_on in not_meant[first.controller]:
        end = RETIRED
    else:
        end = (fault.how if fault is not None else "") or NOT_WRITTEN
    earliest, seen = _start(first)
    last = parts[-1].to_on
    row = TimeOff(
        station=first.station,
        place=first.place,
        earliest=earliest,
        latest=first.from_on,
        seen=seen,
        until=until,
        end=end,
        reason=first.reason,
        is_off=last is None or last > today,
    )
    return row, fault.fault if fault is not None else None


def _is_undated(first: _Part) -> bool:
    return first.stopgap is not None and first.fitted_earliest is None


def _start(first: _Part) -> tuple[date, date]:
    """Return the earliest first day, and from which day on its end would have been known."""
    if first.stopgap is None:
        return first.from_on, max(first.from_on, first.records_since or first.from_on)
    if first.fitted_earliest is None:
        return first.from_on, first.from_on
    # An earlier stopgap or a lost link may have made the first day later than its own fitting.
    earliest = min(first.fitted_earliest, first.from_on)
    is_exact = first.fitted_earliest == first.fitted_latest
    seen = first.first_seen or (None if is_exact else first.fitted_latest) or first.records_since
    return earliest, max(first.from_on, seen or first.from_on)


def _is_retired(part: _Part, on: date) -> bool:
    days = (part.station_retired, part.controller_retired, part.place_retired)
    return any(day is not None and day <= on for day in days)


def _faults(places: Collection[int]) -> dict[int, list[_Fault]]:
    """Return the faults of each station, the newest first."""
    rows = FaultStation.objects.filter(fault__property__in=places)
    rows = rows.exclude(stage=Stage.WITHDRAWN.value).order_by("-fault__reported_on", "-pk")
    found: dict[int, list[_Fault]] = defaultdict(list)
    lines = rows.values_list(
        "station", "fault", "fault__reported_on", "fault__closed_on", "how_returned"
    )
    for station, fault, reported, closed, how in lines.iterator():
        found[station].append(_Fault(fault, reported, closed, how))
    return found


def _causes(places: Collection[int]) -> dict[int, Known]:
    """Return what broke the wire of each fault, known from the day on which it was found."""
    rows = Break.objects.filter(fault__property__in=places, found_on__isnull=False)
    rows = rows.exclude(cause=Cause.NOT_KNOWN).order_by("found_on", "pk")
    return _first_of(rows.values_list("fault", "cause", "found_on"))


def _crews(places: Collection[int]) -> dict[int, Known]:
    """Return which crew went for each fault first, known from the day of that visit."""
    rows = Job.objects.filter(
        fault__property__in=places, crew__isnull=False, day__isnull=False, state=JobState.DONE
    )
    return _first_of(rows.order_by("day", "pk").values_list("fault", "crew__name", "day"))


def _first_of(rows: Iterable[tuple[int | None, str | None, date | None]]) -> dict[int, Known]:
    found: dict[int, Known] = {}
    for fault, value, day in rows:
        if fault is not None and value and day is not None:
            found.setdefault(fault, Known(value, day))
    return found


def _not_meant(places: Collection[int]) -> dict[int, set[date]]:
    """Return from which days on each controller was not meant for central control any more."""
    rows = CentralState.objects.filter(
        controller__property__in=places, state=Central.NOT_MEANT, from_on__isnull=False
    )
    found: dict[int, set[date]] = defaultdict(set)
    for controller, day in rows.values_list("controller", "from_on"):
        if day is not None:
            found[controller].add(day)
    return found
