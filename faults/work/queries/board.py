"""Reads of the board: crews, their people and days away, the jobs on days, and the tray."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, F, Min, Q, QuerySet, Sum
from django.db.models.functions import Coalesce

from faults.access import crews_for, jobs_for
from faults.cases.services.working_days import Slot
from faults.models import Crew, Job, JobState
from sites.kernel.engines.roles import Action
from sites.models import AccessHours, Blackout, User

MOST_IN_TRAY = 40
MOST_ON_BOARD = 400
# By day, and on it by the clock; what has no hour comes after, wherever jobs of a day are listed.
ORDER_OF_DAY = (
    F("day").asc(nulls_last=True),
    F("starts_at").asc(nulls_last=True),
    "-priority",
    "pk",
)
SHOWN_STATES = [JobState.PLANNED.value, JobState.STARTED.value, JobState.DONE.value]


def crews_on_board(user: User, days: Sequence[date]) -> list[Crew]:
    """Return the crews that work on some of the days, by name."""
    stays = Q(retired_on__isnull=True) | Q(retired_on__gt=days[0])
    return list(crews_for(user).filter(stays).order_by("name", "pk"))


def next_planned(crews: Collection[Crew], *, after: date) -> dict[int, date]:
    """Return the next day after another on which each of these crews has a job."""
    rows = Job.objects.open().filter(crew__in=crews, day__gt=after)
    return dict(rows.order_by("crew").values_list("crew").annotate(Min("day")))


def jobs_on_board(user: User, days: Sequence[date]) -> list[Job]:
    """Return the jobs that a crew has on these days, in the order of the day."""
    rows = _with_names(jobs_for(user)).filter(
        crew__isnull=False, day__in=days, state__in=SHOWN_STATES
    )
    return list(rows.order_by(*ORDER_OF_DAY)[:MOST_ON_BOARD])


def tray(user: User, *, before: date) -> tuple[list[Job], int]:
    """Return the first jobs without crew or day, and those left over from days gone by; and all.

    The most urgent first, then what has waited longest: a fault since it was reported, what is for
    none since the day on which it falls due.
    """
    left_over = Q(day__lt=before, state=JobState.PLANNED.value)
    rows = jobs_for(user).filter(state__in=[JobState.PLANNED.value, JobState.STARTED.value])
    rows = rows.filter(Q(crew__isnull=True) | Q(day__isnull=True) | left_over)
    waits_since = Coalesce("fault__reported_on", "due_on").asc(nulls_last=True)
    ordered = _with_names(rows).order_by(
        "-priority", waits_since, F("due_on").asc(nulls_last=True), "pk"
    )
    return list(ordered[:MOST_IN_TRAY]), rows.count()


def _with_names(rows: QuerySet[Job]) -> QuerySet[Job]:
    return rows.select_related("property", "fault", "crew").annotate(
        station_total=Count("stations", distinct=True)
    )


def minutes_on(crews: Collection[Crew], days: Sequence[date]) -> dict[Slot, int]:
    """Return the minutes that each crew has planned on each day, for every client's jobs."""
    rows = Job.objects.filter(crew__in=crews, day__in=days, state__in=SHOWN_STATES)
    sums = rows.order_by().values_list("crew", "day").annotate(total=Sum("expected_minutes"))
    return {(crew, day): total for crew, day, total in sums}


@dataclass(frozen=True)
class Entering:
    """When properties may be entered: hours by property and weekday, blackouts by property."""

    hours: dict[int, dict[int, list[tuple[int, int]]]]
    blackouts: dict[int, list[Blackout]]

    def access(self, place: int, day: date) -> tuple[tuple[int, int], ...] | None:
        """Return the minutes of the day between which it is open; None where at any hour."""
        if place not in self.hours:
            return None
        return tuple(self.hours[place].get(day.weekday(), ()))

    def blackout(self, place: int, day: date) -> str:
        """Return why nobody may work there on a day; empty where one may."""
        for each in self.blackouts.get(place, ()):
            if each.from_on <= day < each.to_on:
                return each.why
        return ""


def entering(places: Collection[int]) -> Entering:
    """Return when these properties may be entered."""
    hours: dict[int, dict[int, list[tuple[int, int]]]] = defaultdict(lambda: defaultdict(list))
    for row in AccessHours.objects.filter(property__in=places).order_by("opens_at", "pk"):
        opens, closes = row.opens_at, row.closes_at
        hours[row.property_id][row.weekday].append(
            (opens.hour * 60 + opens.minute, closes.hour * 60 + closes.minute)
        )
    blackouts: dict[int, list[Blackout]] = defaultdict(list)
    for each in Blackout.objects.filter(property__in=places).order_by("from_on", "pk"):
        blackouts[each.property_id].append(each)
    return Entering(hours, blackouts)


def plannable(user: User, jobs: Collection[Job]) -> set[int]:
    """Return the keys of those jobs that the user may plan."""
    keys = [job.pk for job in jobs]
    return set(jobs_for(user, Action.PLAN_JOBS).filter(pk__in=keys).values_list("pk", flat=True))
