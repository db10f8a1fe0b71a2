"""Reads of rounds, their visits, and the jobs behind them."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from faults.access import jobs_for, round_visits_for, rounds_for, stops_for
from faults.models import (
    OPEN_JOB_STATES,
    Job,
    JobState,
    LeftOut,
    Round,
    RoundStation,
    RoundStop,
    RoundVisit,
)
from faults.rounds.engines.turns import Repeats
from sites.kernel.engines.roles import Action
from sites.models import Client, Controller, Station, User

MOST_VISITS = 1000


def rounds_listed(user: User) -> QuerySet[Round]:
    """Return the rounds that the user may see, with how many properties each goes to."""
    seen = Q(stops__in=stops_for(user).values("pk"), stops__taken_out_on=None)
    rows = rounds_for(user).select_related("crew")
    open_ones = RoundVisit.objects.filter(round=OuterRef("pk"), job__state__in=OPEN_JOB_STATES)
    return rows.annotate(
        place_total=Count("stops", filter=seen, distinct=True), has_open=Exists(open_ones)
    )


def round_to_show(user: User, action: Action = Action.SEE_ROUNDS) -> QuerySet[Round]:
    """Return the rounds on which the user has the action, each with what its page names."""
    return rounds_for(user, action).select_related("crew", "made_by")


def stops_shown(user: User, the_round: Round) -> list[RoundStop]:
    """Return the properties of a round that the user may see, in the order of going."""
    rows = stops_for(user).filter(round=the_round, taken_out_on=None)
    rows = rows.select_related("property__client").prefetch_related("chosen__station__controller")
    return list(rows.order_by("number", "pk"))


def visits_of(user: User, *, of: Sequence[Round]) -> list[RoundVisit]:
    """Return the newest visits of rounds that the user may see, by property the latest first."""
    rows = round_visits_for(user).filter(round__in=of)
    rows = rows.select_related("property__client", "round", "job__property", "job__crew")
    return list(rows.order_by("-begins_on", "property__code", "pk")[:MOST_VISITS])


def visits_between(
    user: User, *, since: date, until: date, narrowed: Q | None = None
) -> list[RoundVisit]:
    """Return the visits that are due in these days, both included, in order of their days."""
    rows = round_visits_for(user).filter(narrowed or Q(), due_on__range=(since, until))
    rows = rows.select_related("property__client", "round", "job__property", "job__crew")
    return list(rows.order_by("due_on", "property__code", "pk")[:MOST_VISITS])


def running_rounds(user: User, narrowed: Q | None = None) -> list[Round]:
    """Return the rounds that have not ended and that the user may see."""
    rows = rounds_for(user).filter(narrowed or Q(), ended_on=None)
    return list(rows.order_by("name", "pk")[:MOST_VISITS])


def clients_with_rounds(user: User) -> list[Client]:
    """Return the clients to whose properties rounds go that the user may see."""
    keys = stops_for(user).values("property__client")
    return list(Client.objects.filter(pk__in=keys).order_by("name", "pk"))


def visit_of(job: Job) -> RoundVisit | None:
    """Return the visit of a round that a job is, or is a part of; None where no round has it."""
    seen: set[int] = set()
    key: int | None = job.pk
    while key is not None and key not in seen:
        seen.add(key)
        visit = RoundVisit.objects.filter(job=key).select_related("round", "job__property").first()
        if visit is not None:
            return visit
        key = Job.objects.filter(pk=key).values_list("split_from", flat=True).first()
    return None


def controllers_on_rounds(purpose: str) -> QuerySet[Controller]:
    """Return the controllers that a round which comes back goes to for this purpose: wholly.

    One of which only some stations are chosen is not among them.
    """
    back = Round.objects.running().exclude(repeats=Repeats.ONCE.value).filter(purpose=purpose)
    stops = RoundStop.objects.filter(round__in=back, taken_out_on=None)
    chosen = RoundStation.objects.filter(stop__in=stops)
    whole = stops.filter(~Exists(RoundStation.objects.filter(stop=OuterRef("pk"))))
    unchosen = (
        Station.objects.in_care()
        .filter(controller=OuterRef("pk"))
        .exclude(pk__in=chosen.values("station"))
    )
    named = Q(pk__in=chosen.values("station__controller")) & ~Exists(unchosen)
    return Controller.objects.filter(Q(property__in=whole.values("property")) | named)


def unsent_jobs(the_round: Round) -> list[Job]:
    """Return the planned visits of a round that no crew has, in the order of going."""
    number = RoundStop.objects.filter(round=the_round, property=OuterRef("property"))
    rows: Any = Job.objects.filter(
        round_visit__round=the_round, state=JobState.PLANNED, crew=None
    ).annotate(number=number.values("number")[:1])
    return list(rows.select_related("property", "fault").order_by("number", "pk"))


def left_out_for(user: User, action: Action) -> QuerySet[LeftOut]:
    """Return what was left out of visits on which the user has the action."""
    rows = LeftOut.objects.filter(job__in=jobs_for(user, action))
    return rows.select_related("job__property", "station__controller", "device")
