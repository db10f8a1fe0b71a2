"""A station that waters and cannot be stopped: what it lets through, and who may shut it how."""

from django.utils.translation import gettext as _

from faults.models import Fault
from sites.cells.engines.measures import FLOW
from sites.models import StationFacts


def stays_on_words(fault: Fault) -> str:
    """Return the caution for the office, the client and the crew, with the flow if it is known."""
    words = _(
        "It waters now and cannot be stopped from the controller. Shut the valve's flow control or "
        "the main by hand: only who may, and who knows what else the main feeds."
    )
    flow_gpm = _flow_gpm(fault)
    if flow_gpm is None:
        return words
    told = _("By the register it lets %s through for as long as it runs.")
    return f"{words} " + told % FLOW.in_words(flow_gpm, fault.property.units)


def _flow_gpm(fault: Fault) -> float | None:
    """Return the flow of all its stations; None where that of one is not known."""
    stations = fault.stations.values("station")
    rows = StationFacts.objects.filter(station__in=stations, to_on=None)
    flows = list(rows.order_by("pk").values_list("flow_gpm", flat=True))
    known = [flow for flow in flows if flow is not None]
    return sum(known) if known and len(known) == stations.count() else None
