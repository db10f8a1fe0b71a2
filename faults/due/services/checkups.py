"""What falls due once a year: the wires of each controller are checked.

A register that was just loaded says of no controller when it was checked last. All of them on one
day would bury what is due that day, so they are spread over the year: property by property, some
a day, on days that stay the same for all who ask.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Count, Exists, F, Min, OuterRef, QuerySet

from faults.due.services.family import Candidate, Family, Told, local_day
from faults.models import (
    FollowUp,
    FollowUpKind,
    FollowUpState,
    Job,
    JobKind,
    JobState,
    Reading,
    ReadingKind,
)
from faults.rounds.queries.rounds import controllers_on_rounds
from faults.work.engines.kinds import CHECK_UPS
from sites.models import Controller, Property, Station, Wiring

TO_CONTROLLER = "station__controller"
# So many controllers fit into a crew's day, an hour each with the walk: common practice.
A_DAY = 4


def _controllers() -> QuerySet[Any]:
    """Controllers in care with a wire to each of their stations, which no round checks up."""
    stations = Station.objects.filter(controller=OuterRef("pk"), retired_on=None)
    return (
        Controller.objects.in_care()
        .filter(Exists(stations), property__retired_on=None, wiring=Wiring.PER_STATION)
        .exclude(pk__in=controllers_on_rounds(JobKind.CHECK_UP.value))
        .select_related("property")
    )


def _check_ups(rows: Sequence[Any], told: Told) -> list[Candidate]:
    """A controller that was never checked, as far as is known, is due on its day of the spread."""
    last = last_check_ups(rows, since=told.at.date() - timedelta(days=told.days + 400))
    spread = _spread([clock for clock in rows if clock.pk not in last], told)
    found = []
    for clock in rows:
        day = last.get(clock.pk)
        found.append(
            Candidate(
                f"controller:{clock.pk}:{day.isoformat() if day else 'never'}",
                clock.property_id,
                clock.property.time_zone,
                day + timedelta(days=told.days) if day else spread[clock.pk],
                {"controller_id": clock.pk},
            )
        )
    return found


def _spread(clocks: Sequence[Any], told: Told) -> dict[int, date | None]:
    """Return a day for each controller: the same at every call, few on any one day.

    Properties lie evenly over the rule's days from the day on which the register learned of the
    first controller there; those of one property follow each other, some a day. None = at once.
    """
    if not clocks:
        return {}
    places = {clock.property_id for clock in clocks}
    there: dict[int, list[int]] = defaultdict(list)
    rows = Controller.objects.in_care().filter(property__in=places, wiring=Wiring.PER_STATION)
    for place, key in rows.order_by("pk").values_list("property", "pk"):
        there[place].append(key)
    # Retired ones keep their turn, so that nobody else's day moves.
    order = list(Property.objects.order_by("pk").values_list("pk", flat=True))
    turn = {key: n for n, key in enumerate(order)}
    known = _known_since(places)
    found: dict[int, date | None] = {}
    for clock in clocks:
        place = clock.property
        days = int(spread_share(turn[place.pk]) * told.days)
        days += there[place.pk].index(clock.pk) // A_DAY
        since = local_day(place.time_zone, known.get(place.pk, told.at))
        found[clock.pk] = since + timedelta(days=days) if days else None
    return found


def spread_share(n: int) -> float:
    """Return a share from 0 to 1 for the n-th of any number: 0, 1/2, 1/4, 3/4, 1/8, ...

    However many there are, they lie evenly (van der Corput), and a new one moves no other.
    """
    share, step = 0.0, 0.5
    while n:
        share += step * (n & 1)
        n >>= 1
        step /= 2
    return share


def _known_since(places: Collection[int]) -> dict[int, datetime]:
    """Return when the register learned of the first controller of each property."""
    records: Any = Controller.history.model.objects
    rows = records.filter(property__in=places).order_by().values_list("property")
    return dict(rows.annotate(first=Min("history_date")))


def last_check_ups(clocks: Sequence[Controller], *, since: date) -> dict[int, date]:
    """Return the last known day of a check-up for each controller that has one.

    A check-up is a day on which at least half of its stations were read, a check-up job that is
    done, or a follow-up that was ticked.
    """
    keys = [clock.pk for clock in clocks]
    last: dict[int, date] = {}
    for key, day in [*_read(keys, since), *_jobs(keys), *_ticked(keys)]:
        last[key] = max(day, last.get(key, day))
    return last


def _read(keys: Sequence[int], since: date) -> Iterable[tuple[int, date]]:
    in_use = Station.objects.filter(controller__in=keys, retired_on=None).order_by()
    totals = dict(in_use.values_list("controller").annotate(n=Count("pk")))
    days = (
        Reading.objects.filter(station__in=in_use, taken_on__gte=since)
        .filter(voided_on=None, kind__in=[ReadingKind.OHMS, ReadingKind.VOLTS])
        .order_by()
        .values_list(TO_CONTROLLER, "taken_on")
        .annotate(n=Count("station", distinct=True))
    )
    return [(key, day) for key, day, n in days if 2 * n >= totals[key]]


def _jobs(keys: Sequence[int]) -> Iterable[tuple[int, date]]:
    done = (
        Job.objects.filter(kind__in=CHECK_UPS, state=JobState.DONE, ended_at__isnull=False)
        .filter(stations__controller__in=keys)
        .order_by()
        .values_list("stations__controller", "ended_at", F("property__time_zone"))
        .distinct()
    )
    return [(key, local_day(zone, ended_at)) for key, ended_at, zone in done]


def _ticked(keys: Sequence[int]) -> Iterable[tuple[int, date]]:
    done = FollowUp.objects.filter(
        kind=FollowUpKind.CHECK_UP, state=FollowUpState.DONE, controller__in=keys
    )
    rows = done.order_by("pk").values_list("controller", "done_on")
    return [(key, day) for key, day in rows if key and day]


FAMILIES = [Family(FollowUpKind.CHECK_UP, _controllers, _check_ups)]
