"""What falls due once a year: the wires of each controller are checked."""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import Any

from django.db.models import Count, Exists, F, OuterRef, QuerySet

from faults.due.services.family import Candidate, Family, Told, local_day
from faults.models import (
    FollowUp,
    FollowUpKind,
    FollowUpState,
    Job,
    JobState,
    Reading,
    ReadingKind,
)
from faults.work.engines.kinds import CHECK_UPS
from sites.models import Controller, Station, Wiring

TO_CONTROLLER = "station__controller"


def _controllers() -> QuerySet[Any]:
    """Controllers in care with a wire to each of their stations."""
    stations = Station.objects.filter(controller=OuterRef("pk"), retired_on=None)
    return (
        Controller.objects.in_care()
        .filter(Exists(stations), property__retired_on=None, wiring=Wiring.PER_STATION)
        .select_related("property")
    )


def _check_ups(rows: Sequence[Any], told: Told) -> list[Candidate]:
    """A controller that was never checked, as far as is known, is due at once."""
    last = last_check_ups(rows, since=told.at.date() - timedelta(days=told.days + 400))
    found = []
    for clock in rows:
        day = last.get(clock.pk)
        found.append(
            Candidate(
                f"controller:{clock.pk}:{day.isoformat() if day else 'never'}",
                clock.property_id,
                clock.property.time_zone,
                day + timedelta(days=told.days) if day else None,
                {"controller_id": clock.pk},
            )
        )
    return found


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
