"""What is in the ground of one property: its points, legs and wires."""

from typing import Any

from django.db.models import Count
from django.http import HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _

from sites.ground.forms.points_and_legs import (
    StandingLegFilter,
    StandingPointFilter,
    StandingWireFilter,
)
from sites.kernel.access import SignedInRequest, find, may, page_for, properties_for
from sites.kernel.engines.roles import Action
from sites.models import Property
from sites.register.tables import LegTable, PointTable, WireTable
from sites.register.views.lists import list_page


@page_for(Action.SEE_REGISTER)
def points(request: SignedInRequest, ref: str) -> HttpResponse:
    """The places where wires can be reached."""
    place = find(properties_for(request.user), ref=ref)
    return list_page(
        request,
        heading=_("Points of %s") % place,
        rows=place.points.select_related("property"),
        filter_class=StandingPointFilter,
        table_class=PointTable,
        place=place,
        **_add(request, place, "sites:point_add", _("Add a point")),
    )


@page_for(Action.SEE_REGISTER)
def legs(request: SignedInRequest, ref: str) -> HttpResponse:
    """The stretches of ground between them."""
    place = find(properties_for(request.user), ref=ref)
    return list_page(
        request,
        heading=_("Legs of %s") % place,
        rows=place.legs.select_related("property", "from_point", "to_point").annotate(
            wire_total=Count("holds")
        ),
        filter_class=StandingLegFilter,
        table_class=LegTable,
        place=place,
        **_add(request, place, "sites:leg_add", _("Add a leg")),
    )


@page_for(Action.SEE_REGISTER)
def wires(request: SignedInRequest, ref: str) -> HttpResponse:
    """The conductors that lie in them."""
    place = find(properties_for(request.user), ref=ref)
    return list_page(
        request,
        heading=_("Wires of %s") % place,
        rows=place.wires.annotate(leg_total=Count("lies")),
        filter_class=StandingWireFilter,
        table_class=WireTable,
        place=place,
        **_add(request, place, "sites:wire_lay", _("Lay a wire")),
    )


def _add(request: SignedInRequest, place: Property, name: str, label: str) -> dict[str, Any]:
    """Offer to add one to those who may."""
    if not may(request.user, Action.CHANGE_GROUND, place):
        return {}
    return {"add_url": reverse(name, args=[place.ref]), "add_label": label}
