"""Reads of what is finished and not billed, and of the batches that were given to the books."""

from collections.abc import Collection
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import (
    CharField,
    Count,
    Exists,
    F,
    OuterRef,
    Prefetch,
    Q,
    QuerySet,
    Subquery,
    Value,
)
from django.db.models.functions import Cast, Coalesce, NullIf

from faults.access import faults_for, job_lines_for, jobs_for
from faults.models import (
    AnswerKind,
    Authority,
    BatchLine,
    BookBatch,
    Break,
    DamageClaim,
    Fault,
    FaultStation,
    Job,
    JobLine,
    JobState,
    LineBasis,
    Quote,
    QuoteAnswer,
)
from faults.models.job import JobLineQuerySet
from faults.prices.queries import currency_of
from sites.kernel.engines.roles import Action
from sites.models import StandingAuthority, Station, User

# As many visits of a period as are added up at once.
MOST_VISITS = 5000
# A visit that was called off may have cost something: its lines stand until they are struck.
OVER = (JobState.DONE.value, JobState.WITHDRAWN.value)


def unbilled_lines(user: User) -> JobLineQuerySet:
    """Return the standing lines of finished work that are in no batch that stands.

    Warranty and contract work is among them: it is given as such, and nobody is charged.
    """
    stands = BatchLine.objects.filter(line=OuterRef("pk"), is_taken_back=False)
    rows = job_lines_for(user, Action.SEE_RATES).standing()
    return as_billed(rows.filter(~Exists(stands), job__state__in=OVER))


def as_billed(rows: JobLineQuerySet) -> JobLineQuerySet:
    """Read with lines what a bill names: `ref`, `currency`, `order` and `approver`.

    Who approved is who gave the newest yes on the fault up to the line's day, else who gave what
    the client allows there without being asked.
    """
    stations = Station.objects.select_related("controller").order_by(
        "controller__name", "number", "pk"
    )
    of_fault = FaultStation.objects.select_related("station__controller").order_by(
        "station__controller__name", "station__number", "pk"
    )
    read = rows.select_related("job__property__client", "job__fault").prefetch_related(
        Prefetch("job__stations", stations), Prefetch("job__fault__stations", of_fault)
    )
    return read.annotate(
        ref=Cast("pk", CharField()),
        currency=currency_of("job__property", "on"),
        order=Coalesce(
            NullIf(F("job__order_number"), Value("")), F("job__fault__order_number"), Value("")
        ),
        approver=Coalesce(_yes(), _standing(), Value("")),
    )


def _yes() -> Subquery:
    rows = Authority.objects.filter(fault=OuterRef("job__fault"), given_on__lte=OuterRef("on"))
    return Subquery(rows.order_by("-given_on", "-pk").values("given_by")[:1])


def _standing() -> Subquery:
    rows = StandingAuthority.objects.filter(
        Q(to_on__isnull=True) | Q(to_on__gt=OuterRef("on")),
        property=OuterRef("job__property"),
        from_on__lte=OuterRef("on"),
    )
    return Subquery(rows.order_by("-from_on", "-pk").values("given_by")[:1])


def stations_named(line: JobLine) -> str:
    """Return the stations of a line's job, else all of its fault's, as read by `as_billed`."""
    job = line.job
    own = [str(station) for station in job.stations.all()]
    if not own and job.fault is not None:
        own = [str(row.station) for row in job.fault.stations.all()]
    return ", ".join(own)


def lines_to_give(user: User, keys: Collection[str]) -> list[JobLine]:
    """Return these lines, where the user may give them; those given already are among them."""
    wanted = [int(key) for key in keys if key.isdecimal() and len(key) < 19]
    rows = job_lines_for(user, Action.GIVE_TO_BOOKS).filter(pk__in=wanted)
    return list(as_billed(rows).order_by("on", "pk"))


def given_already(lines: Collection[JobLine]) -> dict[int, BookBatch]:
    """Return, by their keys, the batch that stands of those lines that are in one."""
    rows = BatchLine.objects.filter(line__in=[line.pk for line in lines], is_taken_back=False)
    return {row.line_id: row.batch for row in rows.select_related("batch")}


def batches_for(user: User, action: Action = Action.SEE_RATES) -> QuerySet[BookBatch]:
    """Return the batches on all of whose lines the user has the action."""
    mine = job_lines_for(user, action).order_by().values("pk")
    others = BatchLine.objects.filter(batch=OuterRef("pk")).exclude(line__in=mine)
    return BookBatch.objects.filter(~Exists(others)).select_related("given_by")


def batches_listed(user: User) -> QuerySet[BookBatch]:
    """Return the batches that the user may see, with how many lines each has."""
    rows = batches_for(user).annotate(line_total=Count("entries"))
    return rows.prefetch_related("entries")


def entries_of(batch: BookBatch) -> list[BatchLine]:
    """Return what a batch gave, by client and day."""
    return list(
        batch.entries.select_related("line__job").order_by("client", "property", "on", "line")
    )


def claims_for(user: User, action: Action = Action.SEE_RATES) -> QuerySet[DamageClaim]:
    """Return the claims on whose fault the user has the action."""
    rows = DamageClaim.objects.filter(fault__in=faults_for(user, action))
    return rows.select_related("fault__property__client")


def claims_listed(user: User) -> QuerySet[DamageClaim]:
    """Return the claims that the user may see, with the lines that they cost."""
    return claims_for(user).prefetch_related(Prefetch("fault__jobs__lines", _for_damage()))


def damage_lines(faults: Collection[int] | QuerySet[Any, Any]) -> QuerySet[JobLine]:
    """Return the standing lines of these faults that a third party pays, with their currency."""
    return _for_damage().filter(job__fault__in=faults)


def faults_not_claimed(user: User) -> list[Fault]:
    """Return the faults with lines for damage and no claim that stands, the newest first."""
    damaged = _for_damage().order_by().values("job__fault")
    claimed = DamageClaim.objects.filter(dropped_on=None).values("fault")
    rows = faults_for(user, Action.SEE_RATES).filter(pk__in=damaged).exclude(pk__in=claimed)
    return list(rows.order_by("-reported_on", "-pk")[:20])


def _for_damage() -> QuerySet[JobLine]:
    rows = JobLine.objects.standing().filter(basis=LineBasis.DAMAGE)
    return rows.select_related("job").annotate(currency=currency_of("job__property", "on"))


def visits_between(user: User, since: date, until: date) -> tuple[list[Job], bool]:
    """Return the visits that began in these days, or that have only lines of them, newest first.

    Both days count, by the clock of the user. True: there were more than are returned.
    """
    began = Q(started_at__date__gte=since, started_at__date__lte=until)
    lined = JobLine.objects.standing().filter(job=OuterRef("pk"), on__range=(since, until))
    rows = jobs_for(user, Action.SEE_RATES).filter(began | Q(started_at=None) & Exists(lined))
    breaks = Prefetch("fault__breaks", Break.objects.order_by("running_number", "pk"))
    read = rows.select_related("property__client", "fault__property__client")
    found = list(read.prefetch_related(breaks).order_by("-started_at", "-pk")[: MOST_VISITS + 1])
    return found[:MOST_VISITS], len(found) > MOST_VISITS


def lines_with_batches(jobs: Collection[int]) -> list[JobLine]:
    """Return the standing lines of jobs: with `currency`, and with whether a batch has them."""
    given = BatchLine.objects.filter(line=OuterRef("pk"), is_taken_back=False)
    rows = JobLine.objects.standing().filter(job__in=jobs)
    rows = rows.annotate(is_given=Exists(given), currency=currency_of("job__property", "on"))
    return list(rows.select_related("job").order_by("pk"))


def accepted_quotes(faults: Collection[int]) -> list[tuple[Quote, Decimal]]:
    """Return the quotes to which a yes stands, each with the net total of the chosen option."""
    rows = QuoteAnswer.objects.filter(
        quote__fault__in=faults,
        quote__withdrawn_on=None,
        kind=AnswerKind.YES,
        reopened_on=None,
    )
    read = rows.select_related("quote", "option__quote").prefetch_related("option__lines")
    return [
        (row.quote, row.option.total.net) for row in read.order_by("pk") if row.option is not None
    ]
