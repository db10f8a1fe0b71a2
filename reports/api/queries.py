"""Reads for programs that no page has."""

from django.db.models import Prefetch

from faults.access import faults_for
from faults.models import FaultStation
from faults.models.fault import FaultQuerySet
from sites.models import User


def faults_with_stations(user: User) -> FaultQuerySet:
    """Return the faults that the user may see, each with its stations as `in_order`."""
    stations = FaultStation.objects.select_related("station__controller__property")
    ordered = stations.order_by("station__controller__name", "station__number", "pk")
    read = Prefetch("stations", queryset=ordered, to_attr="in_order")
    rows = faults_for(user).select_related("property", "runs_with__controller")
    return rows.prefetch_related(read)
