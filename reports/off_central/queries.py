"""Reads that combine the register and the faults."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Exists, Min, OuterRef, Q, QuerySet, Subquery

from faults.access import faults_for
from faults.models import CLOSED_STAGES, Break, FaultStation
from faults.waits.queries.waits import with_waits
from sites.kernel.access import properties_where
from sites.kernel.engines.roles import Action
from sites.models import Property, SpellPart, Station, Stopgap, User
from sites.register.queries.stations import (
    TO_PROPERTY,
    in_the_ratio,
    off_central,
    off_central_now,
    off_central_on,
)
from sites.stopgaps.engines.spells import Reason
from sites.water.queries.meters import with_cost


@dataclass(frozen=True)
class ReasonLine:
    """How many stations one reason holds off, and since when the longest of them."""

    reason: str
    count: int
    share: float
    oldest: date


@dataclass(frozen=True)
class OffGroup:
    """The stations of one property that one reason holds off, and since when the longest."""

    property_id: int
    reason: str
    count: int
    oldest: date


def off_groups(
    user: User, day: date | None = None, place: Property | None = None
) -> list[OffGroup]:
    """Return what is off now, or was on a past day, by property and reason, in one pass."""
    parts = off_central(user, day)
    if place is not None:
        parts = parts.filter(**{TO_PROPERTY: place})
    return _grouped(parts)


def groups_of(places: Collection[int], day: date | None = None) -> list[OffGroup]:
    """Return what is off now, or was on a day, at these properties, by property and reason."""
    parts = SpellPart.objects.open() if day is None else SpellPart.objects.on(day)
    return _grouped(parts.filter(**{f"{TO_PROPERTY}__in": places}))


def _grouped(parts: QuerySet[SpellPart]) -> list[OffGroup]:
    rows = (
        parts.order_by(TO_PROPERTY, "reason")
        .values_list(TO_PROPERTY, "reason")
        .annotate(n=Count("pk"), oldest=Min("spell__from_on"))
    )
    return [OffGroup(*row) for row in rows]


def in_the_ratio_of(places: Collection[int]) -> dict[int, int]:
    """Return how many stations of each property are meant to be under central control."""
    rows = Station.objects.meant_for_central().filter(controller__property__in=places)
    counts = rows.order_by().values_list("controller__property").annotate(n=Count("pk"))
    return dict(counts)


def by_reason(user: User, groups: list[OffGroup] | None = None) -> list[ReasonLine]:
    """Return a line for each reason that holds a station off now, by precedence."""
    groups = off_groups(user) if groups is None else groups
    total = sum(group.count for group in groups)
    lines = []
    for reason in (reason.value for reason in Reason):
        held = [group for group in groups if group.reason == reason]
        if held:
            count = sum(group.count for group in held)
            lines.append(
                ReasonLine(reason, count, count / total, min(group.oldest for group in held))
            )
    return lines


@dataclass(frozen=True)
class PropertyLine:
    """How many stations of one property are off now, of how many."""

    ref: str
    code: str
    count: int
    stations: int
    oldest: date

    @property
    def share(self) -> float:
        """Part of its stations that are off."""
        return self.count / self.stations if self.stations else 0.0


def worst_properties(
    user: User, *, most: int, groups: list[OffGroup] | None = None, is_past: bool = False
) -> list[PropertyLine]:
    """Return the properties with the most stations off, worst first.

    Args:
        is_past: the groups are of a past day, whose number of all stations nobody kept.
    """
    groups = off_groups(user) if groups is None else groups
    counts: dict[int, int] = defaultdict(int)
    oldest: dict[int, date] = {}
    for group in groups:
        counts[group.property_id] += group.count
        oldest[group.property_id] = min(group.oldest, oldest.get(group.property_id, group.oldest))
    # Codes decide between equals, so all that equal the last one shown are read.
    worst = sorted((-counts[key], oldest[key]) for key in counts)[:most]
    near = [key for key in counts if worst and (-counts[key], oldest[key]) <= worst[-1]]
    names = {
        pk: (ref, code)
        for pk, ref, code in Property.objects.filter(pk__in=near).values_list("pk", "ref", "code")
    }
    chosen = sorted(near, key=lambda key: (-counts[key], oldest[key], names[key][1]))[:most]
    stations = in_the_ratio(user).filter(controller__property__in=chosen).order_by()
    counted = stations.values_list("controller__property").annotate(n=Count("pk"))
    totals = {} if is_past else dict(counted)
    return [
        PropertyLine(*names[key], counts[key], totals.get(key, 0), oldest[key]) for key in chosen
    ]


def month_ends(today: date, months: int) -> list[date]:
    """Return the first day of each of the last `months` months, this one last."""
    first = today.replace(day=1)
    days = []
    for _ in range(months):
        days.append(first)
        first = date(first.year - (first.month == 1), (first.month - 2) % 12 + 1, 1)
    return days[::-1]


def trend(user: User, *, today: date, months: int = 24) -> dict[str, list[int]]:
    """Return for each reason the stations off at the end of each month, today for this one.

    Two small sums give all days at once: a half-open interval is on at the end of a month when
    it began in that month or before, and has not ended in that month or before. They are summed
    by day: a month of each row would be a call of Python for each on SQLite.
    """
    columns = month_ends(today, months)
    parts = (
        SpellPart.objects.filter(properties_where(user, Action.SEE_OFF_CENTRAL, TO_PROPERTY))
        .filter(from_on__lte=today)
        # What ended before all columns adds to none of them.
        .filter(Q(to_on=None) | Q(to_on__gte=columns[0]))
        .order_by()
    )
    began = parts.values_list("from_on", "reason")
    ended = parts.filter(to_on__lte=today).values_list("to_on", "reason")
    change: dict[str, dict[date, int]] = defaultdict(lambda: defaultdict(int))
    for day, reason, n in began.annotate(n=Count("pk")):
        change[reason][day.replace(day=1)] += n
    for day, reason, n in ended.annotate(n=Count("pk")):
        change[reason][day.replace(day=1)] -= n
    return {
        reason.value: [
            sum(n for month, n in change[reason.value].items() if month <= column)
            for column in columns
        ]
        for reason in Reason
        if reason.value in change
    }


def off_central_rows(user: User) -> QuerySet[SpellPart]:
    """Return a row for each station off central control, with its open fault and its wait."""
    fault = (
        FaultStation.objects.filter(station=OuterRef("station"), fault__in=faults_for(user))
        .exclude(stage__in=CLOSED_STAGES)
        .order_by("fault__reported_on", "pk")
    )
    # An open part belongs to an open spell: said, so that the database can go by its first day.
    rows = off_central_now(user).filter(spell__to_on__isnull=True)
    rows = with_waits(with_cost(user, rows)).select_related(
        "station__controller__property", "spell__meter", "stopgap"
    )
    return rows.annotate(
        fault_ref=Subquery(fault.values("fault__ref")[:1]),
        fault_key=Subquery(fault.values("fault__key")[:1]),
        fault_stage=Subquery(fault.values("stage")[:1]),
    )


def off_central_rows_on(user: User, day: date) -> QuerySet[SpellPart]:
    """Return a row for each station that was off central control on a past day."""
    return off_central_on(user, day).select_related(
        "station__controller__property", "spell", "stopgap"
    )


def oldest_off(user: User) -> SpellPart | None:
    """Return the station that has been off the longest."""
    rows = off_central_now(user).filter(spell__to_on__isnull=True)
    return (
        rows.select_related("station__controller__property", "spell", "stopgap")
        .order_by("spell__from_on", "pk")
        .first()
    )


def breaks_by_leg(place: Property) -> dict[int, int]:
    """Return how many breaks were found on each leg of a property that has any."""
    rows = Break.objects.filter(leg__property=place).order_by().values_list("leg")
    return dict(rows.annotate(n=Count("pk")))


def breaks_on(user: User, legs: list[int]) -> list[Break]:
    """Return the breaks that were found on these legs, newest first.

    They are part of the ground's history, so all are listed; `may_open` says whether the user
    may open the fault behind one.
    """
    return list(
        Break.objects.filter(leg__in=legs)
        .annotate(may_open=Exists(faults_for(user).filter(pk=OuterRef("fault"))))
        .select_related("fault", "leg__from_point", "leg__to_point", "from_point")
        .order_by("-found_on", "-pk")[:100]
    )


def faults_of(user: User, station: Station) -> list[FaultStation]:
    """Return the station's faults that the user may see, newest first."""
    return list(
        FaultStation.objects.filter(station=station, fault__in=faults_for(user))
        .select_related("fault")
        .order_by("-fault__reported_on", "-pk")[:50]
    )


def open_faults(user: User, place: Property) -> QuerySet[FaultStation]:
    """Return the stations of the property's open faults that the user may see, oldest first."""
    return (
        FaultStation.objects.filter(station__controller__property=place, fault__in=faults_for(user))
        .filter(~Q(stage__in=CLOSED_STAGES))
        .select_related("fault", "station__controller")
        .order_by("fault__reported_on", "fault", "station__number", "pk")
    )


def stopgaps_of(station: Station) -> list[Stopgap]:
    """Return the station's stopgaps, newest first."""
    return list(station.stopgaps.select_related("device").order_by("-counted_from", "-pk")[:50])
