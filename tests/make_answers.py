"""Make finished answers of long questions, a decision and a goal, for whom they belong to."""

from datetime import timedelta

from faults.rota.services.suggesting import SUGGEST
from reports.models import Choice, Decision, Goal, RenewalCosts
from reports.returning.services.asking import Asked
from reports.returning.services.choosing import RETURN_FIRST
from sites.models import Property, Run, RunState, User
from tests import make


def suggested_rota(starter: User) -> Run:
    """Return a suggestion that changes nothing."""
    sums = {"driving": 0, "jobs": 0}
    result = {
        "days": [make.TODAY.isoformat()],
        "status": "optimal",
        "gap": 0,
        "before": sums,
        "after": sums,
        "routes": [],
        "left_out": [],
    }
    return Run.objects.create(
        service=SUGGEST,
        title="Suggest a rota",
        asked_by=starter,
        asked_at=make.NOW,
        state=RunState.DONE,
        result=result,
    )


def decided(place: Property, starter: User) -> Decision:
    """Return a decision on a leg of a property."""
    leg = place.legs.order_by("pk").first() or make.leg(property=place)
    word = f"{place.code} decided"
    return Decision.objects.create(
        leg=leg, choice=Choice.RENEW, why=word, decided_on=make.TODAY, decided_by=starter
    )


def renewal_costs(place: Property, starter: User) -> RenewalCosts:
    """Return what renewing costs at a property."""
    return RenewalCosts.objects.create(
        property=place, per_foot=10, fixed=0, kept_on=make.TODAY, kept_by=starter
    )


def goal(place: Property | None, starter: User) -> Goal:
    """Return a goal for a property, or for all."""
    return Goal.objects.create(
        property=place,
        most_percent=2,
        by_on=make.TODAY + timedelta(days=300),
        why="" if place is None else f"{place.code} goal",
        set_on=make.TODAY,
        set_by=starter,
    )


def returned_first(starter: User) -> Run:
    """Return an answer in which nothing is worth a crew."""
    asked = Asked(hours=8, people=2, until=make.TODAY + timedelta(days=90))
    lists: dict[str, list[object]] = {name: [] for name in ("in", "out", "unknown", "set_ups")}
    counts = {"cases": 0, "the_clients": 0, "other_currency": 0, "answers": 0, "answer_days": 7.0}
    names: dict[str, list[str]] = {
        name: [] for name in ("search_assumed", "without_place", "without_rule", "without_rate")
    }
    sums = {"worth": 0.0, "minutes": 0.0, "money": None, "is_proven": True, "gap": 0.0}
    return Run.objects.create(
        service=RETURN_FIRST,
        title="Return first",
        asked_by=starter,
        asked_at=make.NOW,
        ended_at=make.NOW,
        state=RunState.DONE,
        arguments={"asked": asked.as_arguments()},
        result={**sums, **lists, **counts, **names, "curve": []},
    )
