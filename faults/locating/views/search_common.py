"""What the pages of a search share: loading it for the user, and its crumbs."""

from django.http import Http404
from django.urls import reverse
from django.utils.translation import gettext as _

from faults.access import searches_for
from faults.cases.views.common import crumbs_of, the_fault
from faults.models import Fault, KindOfTest, Search
from sites.kernel.access import SignedInRequest, find
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_help import Crumbs
from sites.models import Station

SLUGS = {kind.value.replace(" ", "-"): kind for kind in KindOfTest}


def fault_and_station(
    request: SignedInRequest, ref: str, station: str, action: Action
) -> tuple[Fault, Station]:
    """Return a fault and one of its stations, both open to the user."""
    fault = the_fault(request.user, action, ref)
    row = (
        fault.stations.select_related("station__controller__property")
        .filter(station__ref=station)
        .first()
    )
    if row is None:
        raise Http404
    return fault, row.station


def search_of(request: SignedInRequest, ref: str, action: Action) -> Search:
    """Return a search that the user may see or work on."""
    return find(
        searches_for(request.user, action).select_related(
            "fault__property", "station__controller__property"
        ),
        ref=ref,
    )


def where_url(search: Search) -> str:
    """Return the page of a search."""
    return reverse("faults:where", args=[search.fault.ref, search.station.ref])


def crumbs(fault: Fault, station: Station | None = None) -> Crumbs:
    """Return the way to a page of a search."""
    way = list(crumbs_of(fault))
    if station is not None:
        where = reverse("faults:where", args=[fault.ref, station.ref])
        way.append((where, _("Where is it broken: %s") % station))
    return way
