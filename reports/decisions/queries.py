"""Reads of what was decided on legs, and of what lies on them."""

from datetime import date

from django.db.models import F, Q, QuerySet

from faults.cases.engines.stages import Stage
from faults.models import Break, Cause
from reports.models import Decision, RenewalCosts
from sites.kernel.access import may_everywhere, properties_where
from sites.kernel.engines.roles import Action
from sites.models import Leg, Renewal, User


def decisions_for(user: User, action: Action = Action.SEE_HOTSPOTS) -> QuerySet[Decision]:
    """Return the decisions on legs at whose property the user has the action, newest first."""
    rows = Decision.objects.filter(properties_where(user, action, "leg__property"))
    related = ("leg__property", "leg__from_point", "leg__to_point", "decided_by")
    return rows.select_related(*related).order_by("-decided_on", "-pk")


def costs_for(user: User, action: Action = Action.SEE_RATES) -> QuerySet[RenewalCosts]:
    """Return what renewing costs where the user has the action; that of all for who has all."""
    seen = Q(property__isnull=False) & properties_where(user, action, "property")
    if may_everywhere(user, action):
        seen |= Q(property__isnull=True)
    rows = RenewalCosts.objects.filter(seen).select_related("property", "kept_by")
    return rows.order_by(F("property__code").asc(nulls_first=True), "pk")


def renewed_since(leg: Leg, day: date) -> Renewal | None:
    """Return the first renewal of a leg on a day or later."""
    return Renewal.objects.filter(leg=leg, on__gte=day).order_by("on", "pk").first()


def faults_since(leg: Leg, day: date, until: date) -> int:
    """Return how many faults of a leg were reported from a day until the day before another."""
    rows = Break.objects.filter(leg=leg, fault__reported_on__gte=day)
    rows = rows.filter(fault__reported_on__lt=until).exclude(fault__stage=Stage.WITHDRAWN.value)
    return rows.exclude(cause=Cause.VALVE).values("fault").distinct().count()
