"""What is in the ground of one property: its points, legs and wires."""

from django.db.models import Count
from django.http import HttpResponse
from django.utils.translation import gettext as _

from sites.access import SignedInRequest, find, page_for, properties_for
from sites.engines.roles import Action
from sites.forms import LegFilter, PointFilter, WireFilter
from sites.tables import LegTable, PointTable, WireTable
from sites.views.lists import list_page


@page_for(Action.SEE_REGISTER)
def points(request: SignedInRequest, ref: str) -> HttpResponse:
    """The places where wires can be reached."""
    place = find(properties_for(request.user), ref=ref)
    return list_page(
        request,
        heading=_("Points of %s") % place,
        rows=place.points.filter(retired_on__isnull=True).select_related("property"),
        filter_class=PointFilter,
        table_class=PointTable,
        place=place,
    )


@page_for(Action.SEE_REGISTER)
def legs(request: SignedInRequest, ref: str) -> HttpResponse:
    """The stretches of ground between them."""
    place = find(properties_for(request.user), ref=ref)
    return list_page(
        request,
        heading=_("Legs of %s") % place,
        rows=place.legs.in_ground()
        .select_related("property", "from_point", "to_point")
        .annotate(wire_total=Count("holds")),
        filter_class=LegFilter,
        table_class=LegTable,
        place=place,
    )


@page_for(Action.SEE_REGISTER)
def wires(request: SignedInRequest, ref: str) -> HttpResponse:
    """The conductors that lie in them."""
    place = find(properties_for(request.user), ref=ref)
    return list_page(
        request,
        heading=_("Wires of %s") % place,
        rows=place.wires.annotate(leg_total=Count("lies")),
        filter_class=WireFilter,
        table_class=WireTable,
        place=place,
    )
