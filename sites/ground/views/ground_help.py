"""What the views of points, legs and wires share: loading, crumbs, and forms that were sent."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.db.models import Model
from django.http import HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _

from sites.ground.forms.ground import DayAndWhyForm, MayWhyForm
from sites.kernel.access import (
    SignedInRequest,
    find,
    legs_for,
    points_for,
    properties_for,
    stations_for,
    wires_for,
)
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_help import Crumbs, property_crumbs, today_at
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.models import Leg, Point, Property, Station, Wire

CHANGE = Action.CHANGE_GROUND


def sent(request: SignedInRequest) -> Any:
    """Return what was sent, or None where the page is only opened."""
    return request.POST if request.method == "POST" else None


def place_to_change(request: SignedInRequest, ref: str) -> Property:
    """Return the property whose ground the user may change."""
    return find(properties_for(request.user, CHANGE), ref=ref)


def point_to_change(request: SignedInRequest, ref: str) -> Point:
    """Return the point that the user may change."""
    return find(points_for(request.user, CHANGE).select_related("property"), ref=ref)


def leg_to_change(request: SignedInRequest, ref: str) -> Leg:
    """Return the leg that the user may change."""
    legs = legs_for(request.user, CHANGE)
    return find(legs.select_related("property", "from_point", "to_point", "split_from"), ref=ref)


def wire_to_change(request: SignedInRequest, ref: str) -> Wire:
    """Return the wire that the user may change."""
    return find(wires_for(request.user, CHANGE).select_related("property"), ref=ref)


def station_to_change(request: SignedInRequest, ref: str) -> Station:
    """Return the station whose wire the user may change."""
    stations = stations_for(request.user, CHANGE)
    return find(stations.select_related("controller__property", "valve_point"), ref=ref)


def address_of(row: Point | Leg | Wire) -> str:
    """Return the address of a point's, leg's or wire's page."""
    names = {Point: "sites:point", Leg: "faults:leg", Wire: "sites:wire"}
    return reverse(names[type(row)], args=[row.ref])


def ground_crumbs(row: Point | Leg | Wire) -> Crumbs:
    """Return the way to a point, leg or wire."""
    lists = {
        Point: ("sites:points", _("Points")),
        Leg: ("sites:legs", _("Legs")),
        Wire: ("sites:wires", _("Wires")),
    }
    name, word = lists[type(row)]
    return [*list_crumbs(row.property, name, word), (address_of(row), str(row))]


def list_crumbs(place: Property, name: str, word: str) -> Crumbs:
    """Return the way to one of a property's lists."""
    return [*property_crumbs(place), (reverse(name, args=[place.ref]), word)]


def change_page(
    request: SignedInRequest,
    row: Point | Leg | Wire,
    form: forms.BaseForm,
    act: Callable[[dict[str, Any]], str],
    *,
    heading: str,
    button: str,
    **rest: Any,
) -> HttpResponse:
    """Show or do one verb on a point, leg or wire, and go back to its page."""
    watched: list[Model] = rest.pop("watched", [row])
    page = VerbPage(
        heading=heading,
        button=button,
        back=address_of(row),
        watched=watched,
        act=act,
        crumbs=ground_crumbs(row),
        **rest,
    )
    return verb_page(request, form, page)


def retire_page(
    request: SignedInRequest,
    row: Point | Leg | Wire,
    retire: Callable[..., object],
    *,
    heading: str,
    lead: str = "",
) -> HttpResponse:
    """Show or do "retire" on a point, leg or wire."""
    today = today_at(row.property)

    def act(data: dict[str, Any]) -> str:
        retire(on=data["on"], today=today, why=data["why"])
        return _("%s is retired. It can be brought back from this page.") % row

    form = DayAndWhyForm(sent(request), initial={"on": today})
    return change_page(request, row, form, act, heading=heading, button=_("Retire it"), lead=lead)


def bring_back_page(
    request: SignedInRequest,
    row: Point | Leg | Wire,
    bring_back: Callable[..., object],
    *,
    heading: str,
    lead: str = "",
) -> HttpResponse:
    """Show or do "bring back" on a point, leg or wire."""

    def act(data: dict[str, Any]) -> str:
        bring_back(why=data["why"])
        return _("%s is back.") % row

    form = MayWhyForm(sent(request))
    return change_page(
        request, row, form, act, heading=heading, button=_("Bring it back"), lead=lead
    )
