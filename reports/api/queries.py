"""Reads for programs that no page has."""

from datetime import date

from django.db.models import Case, DateField, DecimalField, Prefetch, Q, Value, When

from faults.access import faults_for
from faults.models import FaultStation
from faults.models.fault import FaultQuerySet
from faults.prices.queries import currency_of
from sites.kernel.access import properties_where
from sites.kernel.engines.roles import Action
from sites.models import User


def faults_with_stations(user: User, *, today: date) -> FaultQuerySet:
    """Return the faults that the user may see, each with its stations as `in_order`.

    `seen_penalty` is what the client was paid, empty where the user sees no prices, and
    `seen_currency` that of today's price list there.
    """
    stations = FaultStation.objects.select_related("station__controller__property")
    ordered = stations.order_by("station__controller__name", "station__number", "pk")
    read = Prefetch("stations", queryset=ordered, to_attr="in_order")
    rows = faults_for(user).select_related("property", "runs_with__controller")
    sees = properties_where(user, Action.SEE_RATES, "property") or Q(pk__isnull=False)
    paid = Case(When(sees, then="penalty"), default=None, output_field=DecimalField())
    rows = rows.annotate(as_of=Value(today, output_field=DateField()), seen_penalty=paid)
    rows = rows.annotate(seen_currency=currency_of("property", "as_of"))
    return rows.prefetch_related(read)
