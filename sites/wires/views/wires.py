"""A wire's page, and the verbs on wires in the ground."""

from functools import partial
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from sites.ground.forms.ground import DayAndWhyForm
from sites.ground.views.ground_help import (
    address_of,
    bring_back_page,
    change_page,
    ground_crumbs,
    list_crumbs,
    place_to_change,
    retire_page,
    sent,
    wire_to_change,
)
from sites.kernel.access import SignedInRequest, actions_on, find, may, page_for, wires_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.history import history_of
from sites.kernel.views.verb_help import today_at
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.models import Leg
from sites.wires.forms import ChangeWireForm, LayForm, OutOfUseForm, TerminalForm
from sites.wires.services import laying as verbs
from sites.wires.services.guards import legs_of
from sites.wires.services.terminals import take_off_terminal, terminate_wire
from sites.wires.services.told import feeds_of, legs_in_ground, terminations_of, way_of, way_text
from sites.wires.services.ways import read_way


@page_for(Action.SEE_REGISTER)
def wire(request: SignedInRequest, ref: str) -> HttpResponse:
    """One wire: where it lies, what it does at points, its terminals, what it serves."""
    one = find(wires_for(request.user).select_related("property"), ref=ref)
    terminations, feeds = list(terminations_of(one)), list(feeds_of(one))
    context: dict[str, Any] = {
        "wire": one,
        "place": one.property,
        "crumbs": ground_crumbs(one)[:-1],
        "may_here": actions_on(request.user, one.property),
        "legs": legs_of(one),
        "points": way_of(one),
        "terminations": terminations,
        "feeds": feeds,
        "ends_now": [row for row in terminations if row.to_on is None],
        "serves_now": [row.station for row in feeds if row.to_on is None],
    }
    if may(request.user, Action.SEE_HISTORY, one.property):
        context["history"] = history_of(one)
    return render(request, "sites/ground/wire.html", context)


@page_for(Action.CHANGE_GROUND)
def wire_lay(request: SignedInRequest, ref: str) -> HttpResponse:
    """Lay a wire on a property."""
    place = place_to_change(request, ref)
    controllers = place.controllers.in_care().order_by("name", "pk")
    form = LayForm(sent(request), today=today_at(place), controllers=controllers)
    added: list[str] = []

    def act(data: dict[str, Any]) -> str:
        legs = read_way(data["way"], legs=legs_in_ground(place))
        end = {name: data[name] for name in ("controller", "terminal", "on")}
        new = verbs.lay_wire(place=place, values=form.values(), legs=legs, **end)
        added.append(address_of(new))
        return _("Wire %s is registered.") % new

    page = VerbPage(
        heading=_("Lay a wire"),
        button=_("Register it"),
        back=reverse("sites:wires", args=[place.ref]),
        watched=[],
        act=act,
        crumbs=list_crumbs(place, "sites:wires", _("Wires")),
        after=lambda: added[0],
    )
    return verb_page(request, form, page)


@page_for(Action.CHANGE_GROUND)
def wire_change(request: SignedInRequest, ref: str) -> HttpResponse:
    """Change what is known of a wire, and where it lies."""
    one = wire_to_change(request, ref)
    among = legs_in_ground(one.property)
    today = today_at(one.property)
    form = ChangeWireForm(sent(request), today=today, row=one, way=way_text(one, among))

    def act(data: dict[str, Any]) -> str:
        legs: list[Leg] | None = None
        if "way" in form.changed_data:
            legs = read_way(data["way"], legs=among)
        verbs.change_wire(wire=one, values=form.values(), legs=legs, why=data["why"])
        return _("Wire %s is changed.") % one

    return change_page(
        request, one, form, act, heading=_("Change wire %s") % one, button=_("Keep this")
    )


@page_for(Action.CHANGE_GROUND)
def wire_retire(request: SignedInRequest, ref: str) -> HttpResponse:
    """Retire a wire."""
    one = wire_to_change(request, ref)
    retire = partial(verbs.retire_wire, wire=one)
    words = _("For a wire that is gone. One that only lies idle is put out of use instead.")
    return retire_page(request, one, retire, heading=_("Retire wire %s") % one, lead=words)


@page_for(Action.CHANGE_GROUND)
def wire_bring_back(request: SignedInRequest, ref: str) -> HttpResponse:
    """Bring a retired wire back."""
    one = wire_to_change(request, ref)
    bring_back = partial(verbs.bring_back_wire, wire=one)
    return bring_back_page(request, one, bring_back, heading=_("Bring back wire %s") % one)


@page_for(Action.CHANGE_GROUND)
def wire_out_of_use(request: SignedInRequest, ref: str) -> HttpResponse:
    """Leave a wire in the ground, not to be counted on."""
    one = wire_to_change(request, ref)
    today = today_at(one.property)
    form = OutOfUseForm(sent(request), initial={"on": today, "is_suspected_broken": True})

    def act(data: dict[str, Any]) -> str:
        verbs.put_out_of_use(wire=one, today=today, **data)
        return _("Wire %s is out of use.") % one

    return change_page(
        request,
        one,
        form,
        act,
        heading=_("Put wire %s out of use") % one,
        button=_("Put it out of use"),
        lead=_("It leaves its terminal on that day and is no longer offered as a spare."),
    )


@page_for(Action.CHANGE_GROUND)
def wire_use_again(request: SignedInRequest, ref: str) -> HttpResponse:
    """Count on a wire again."""
    one = wire_to_change(request, ref)
    use_again = partial(verbs.use_again, wire=one)
    words = _("It was found sound, or was mended. It returns to the terminal that it left.")
    return bring_back_page(
        request, one, use_again, heading=_("Use wire %s again") % one, lead=words
    )


@page_for(Action.CHANGE_GROUND)
def wire_terminal(request: SignedInRequest, ref: str) -> HttpResponse:
    """Put a wire on a terminal."""
    one = wire_to_change(request, ref)
    today = today_at(one.property)
    controllers = one.property.controllers.in_care().order_by("name", "pk")
    ends_now = terminations_of(one)
    known = next((row.controller_id for row in ends_now if row.to_on is None), None)
    initial = {"on": today, "controller": known}
    form = TerminalForm(sent(request), controllers=controllers, initial=initial)

    def act(data: dict[str, Any]) -> str:
        terminate_wire(wire=one, today=today, **data)
        return _("Wire %s is on its new terminal.") % one

    return change_page(
        request,
        one,
        form,
        act,
        heading=_("Put wire %s on a terminal") % one,
        button=_("Put it there"),
    )


@page_for(Action.CHANGE_GROUND)
def wire_terminal_off(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take a wire off its terminal."""
    one = wire_to_change(request, ref)
    today = today_at(one.property)
    form = DayAndWhyForm(sent(request), initial={"on": today})

    def act(data: dict[str, Any]) -> str:
        take_off_terminal(wire=one, today=today, **data)
        return _("Wire %s is on no terminal.") % one

    return change_page(
        request,
        one,
        form,
        act,
        heading=_("Take wire %s off its terminal") % one,
        button=_("Take it off"),
    )
