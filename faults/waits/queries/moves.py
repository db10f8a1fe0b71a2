"""Reads of whose move it is: what waits on the same thing for the same case, in one line."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.db.models import (
    Case,
    Count,
    Exists,
    F,
    Func,
    IntegerField,
    Min,
    OuterRef,
    Q,
    QuerySet,
    Value,
    When,
    Window,
)
from django.db.models.functions import RowNumber

from faults.access import TRACER, faults_for
from faults.models import Asked, Fault, Job, Notice, Wait
from faults.waits.engines.waits import Mover, WaitsOn
from sites.kernel.access import properties_where
from sites.kernel.engines.roles import Action, Role
from sites.models import Property, Station, User
from sites.register.queries.stations import TO_PROPERTY

MOST_NAMES = 6
PLACE = "station__controller__property_id"
ALIKE = ("mover", "waits_on", "fault_id", PLACE)


@dataclass
class MoveGroup:
    """Stations of one case (or, without one, of one property) that wait on the same thing."""

    mover: str
    waits_on: str
    place: Property
    fault: Fault | None
    count: int
    since: date
    until: date | None
    job: Job | None = None
    question: int | None = None
    notice: str = ""
    stations: list[Station] = field(default_factory=list)
    on_central: bool = False

    @property
    def more(self) -> int:
        """How many stations are not named."""
        return self.count - len(self.stations)


def moves_for(user: User) -> QuerySet[Wait]:
    """Return what the user's stations wait on; a tracer sees only its own faults'."""
    ours = properties_where(user, Action.SEE_WORK, TO_PROPERTY, roles=frozenset(Role) - TRACER)
    theirs = Q(fault__in=faults_for(user, Action.SEE_WORK))
    return Wait.objects.filter(ours | theirs if ours else ours)


class NumberOfRows(Func):
    """How many rows the statement finds before it is cut, in each of them."""

    template = "COUNT(*) OVER ()"
    output_field = IntegerField()
    contains_over_clause = True

    def get_group_by_cols(self) -> list[Any]:
        """Return nothing to group by: it counts the groups."""
        return []


def grouped(waits: QuerySet[Wait]) -> QuerySet[Wait, dict[str, Any]]:
    """Return one row for each group: ours first, in the order of the work, the oldest first."""
    rows: QuerySet[Wait, dict[str, Any]] = (
        waits.order_by()
        .values(*ALIKE)
        .annotate(
            n=Count("pk"),
            first=Min("since"),
            soonest=Min("until"),
            job_id=Min("job"),
            whose=_rank("mover", Mover),
            step=_rank("waits_on", WaitsOn),
            # How many groups there are in all, in each row: counting them alone takes as long
            # as finding them.
            total=NumberOfRows(),
        )
        .order_by("whose", "step", "first", PLACE, "fault_id")
    )
    return rows


def _rank(name: str, order: Iterable[Any]) -> Case:
    whens = [When(**{name: each.value}, then=Value(n)) for n, each in enumerate(order)]
    return Case(*whens, default=Value(99), output_field=IntegerField())


def groups_of(waits: QuerySet[Wait], rows: Sequence[dict[str, Any]]) -> list[MoveGroup]:
    """Return the groups of one page with all that they show, in seven queries for any number."""
    places = Property.objects.in_bulk({row[PLACE] for row in rows})
    faults = Fault.objects.in_bulk({row["fault_id"] for row in rows if row["fault_id"]})
    jobs = Job.objects.in_bulk({row["job_id"] for row in rows if row["job_id"]})
    questions, notices = _questions(faults), _notices(faults)
    stations = _first_stations(waits, places)
    return [
        MoveGroup(
            mover=row["mover"],
            waits_on=row["waits_on"],
            place=places[row[PLACE]],
            fault=faults.get(row["fault_id"]),
            count=row["n"],
            since=row["first"],
            until=row["soonest"],
            job=jobs.get(row["job_id"]),
            question=questions.get(row["fault_id"]),
            notice=notices.get(row["fault_id"], ""),
            stations=stations[tuple(row[name] for name in ALIKE)],
        )
        for row in rows
    ]


def _questions(faults: Collection[int]) -> dict[int, int]:
    """Return the question of each fault that has no answer yet."""
    asked = Asked.objects.filter(fault__in=faults, answer="").order_by("pk")
    return dict(asked.values_list("fault", "pk"))


def _notices(faults: Collection[int]) -> dict[int, str]:
    """Return the last notice of each fault that stands."""
    given = Notice.objects.filter(fault__in=faults, cancelled_on__isnull=True)
    return dict(given.order_by("given_at", "pk").values_list("fault", "ref"))


def waits_shown(waits: QuerySet[Wait]) -> list[Wait]:
    """Return the few waits of a station or a fault with all that a group shows, in one query."""
    return list(
        waits.select_related("fault", "job", "station__controller__property").order_by("pk")
    )


def first_group(rows: Sequence[Wait]) -> MoveGroup | None:
    """Return the group that `grouped` would put first, of the few waits of a station or a fault:
    in one query where it waits on an answer or on a notice, else in none."""
    first = min(rows, key=_order, default=None)
    if first is None:
        return None
    return groups_shown([row for row in rows if _alike(row) == _alike(first)])[0]


def groups_shown(rows: Sequence[Wait]) -> list[MoveGroup]:
    """Return the groups of a few waits that are read with all that they show, in the order of
    `grouped`: in two queries more at most, for any number."""
    by_key: dict[tuple[object, ...], list[Wait]] = defaultdict(list)
    for row in sorted(rows, key=_order):
        by_key[_alike(row)].append(row)
    answers = {row.fault_id for row in rows if row.waits_on == WaitsOn.ANSWER and row.fault_id}
    clears = {row.fault_id for row in rows if row.waits_on == WaitsOn.NOTICE_CLEAR and row.fault_id}
    questions = _questions(answers) if answers else {}
    notices = _notices(clears) if clears else {}
    return [
        MoveGroup(
            mover=alike[0].mover,
            waits_on=alike[0].waits_on,
            place=alike[0].station.controller.property,
            fault=alike[0].fault,
            count=len(alike),
            since=min(row.since for row in alike),
            until=min((row.until for row in alike if row.until), default=None),
            job=min((row.job for row in alike if row.job), key=lambda job: job.pk, default=None),
            question=questions.get(alike[0].fault_id or 0),
            notice=notices.get(alike[0].fault_id or 0, ""),
            stations=[row.station for row in alike[:MOST_NAMES]],
            on_central=all(row.on_central for row in alike),
        )
        for alike in by_key.values()
    ]


def _alike(row: Wait) -> tuple[object, ...]:
    return (row.mover, row.waits_on, row.fault_id, row.station.controller.property_id)


def _order(row: Wait) -> tuple[tuple[int, int], date, int]:
    return _step(row), row.since, row.station_id


def _step(row: Wait) -> tuple[int, int]:
    return list(Mover).index(Mover(row.mover)), list(WaitsOn).index(WaitsOn(row.waits_on))


def _first_stations(
    waits: QuerySet[Wait], places: Iterable[int]
) -> dict[tuple[object, ...], list[Station]]:
    """A property may have thousands of stations in one group: the first few name it."""
    number = Window(
        RowNumber(),
        partition_by=[F(name) for name in ALIKE],
        order_by=["station__controller__name", "station__number", "pk"],
    )
    rows = (
        waits.filter(station__controller__property__in=list(places))
        .annotate(place_of=F(PLACE), n=number)
        .filter(n__lte=MOST_NAMES)
        .select_related("station__controller")
        .order_by("n", "pk")
    )
    found: dict[tuple[object, ...], list[Station]] = defaultdict(list)
    for row in rows:
        found[row.mover, row.waits_on, row.fault_id, row.place_of].append(row.station)
    return found


def open_faults_without_waits(user: User) -> QuerySet[Fault]:
    """Return open faults that hold no station off central control: nothing waits on them."""
    waiting = Wait.objects.filter(fault=OuterRef("pk"))
    return faults_for(user, Action.SEE_WORK).open().filter(~Exists(waiting))


def properties_that_wait(user: User) -> QuerySet[Property]:
    """Return the properties of which a station waits on something."""
    ids = moves_for(user).order_by().values("station__controller__property")
    return Property.objects.filter(pk__in=ids).select_related("client").order_by("code", "pk")
