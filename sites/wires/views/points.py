"""A point's page, and the verbs on points."""

from functools import partial
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from sites.ground.forms.ground import AtPointForm, ChangePointForm, NewPointForm, PositionForm
from sites.ground.services import points as verbs
from sites.ground.views.ground_help import (
    bring_back_page,
    change_page,
    ground_crumbs,
    list_crumbs,
    place_to_change,
    point_to_change,
    retire_page,
    sent,
)
from sites.kernel.access import SignedInRequest, actions_on, find, may, page_for, points_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.history import history_of
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.wires.services.terminals import say_at_point
from sites.wires.services.told import legs_at, wires_at


@page_for(Action.SEE_REGISTER)
def point(request: SignedInRequest, ref: str) -> HttpResponse:
    """One point: what it is, which wires come here and what each does, its legs."""
    one = find(points_for(request.user).select_related("property"), ref=ref)
    context: dict[str, Any] = {
        "point": one,
        "place": one.property,
        "crumbs": ground_crumbs(one)[:-1],
        "may_here": actions_on(request.user, one.property),
        "wires": wires_at(one),
        "legs": legs_at(one),
        "stations": one.stations.in_care().select_related("controller").order_by("number", "pk"),
    }
    if may(request.user, Action.SEE_HISTORY, one.property):
        context["history"] = history_of(one)
    return render(request, "sites/ground/point.html", context)


@page_for(Action.CHANGE_GROUND)
def point_add(request: SignedInRequest, ref: str) -> HttpResponse:
    """Add a point to a property."""
    place = place_to_change(request, ref)
    form = NewPointForm(sent(request), place=place)
    added: list[str] = []

    def act(_data: dict[str, Any]) -> str:
        new = verbs.add_point(place=place, values=form.values())
        added.append(reverse("sites:point", args=[new.ref]))
        return _("%s is registered.") % new

    page = VerbPage(
        heading=_("Add a point"),
        button=_("Add it"),
        back=reverse("sites:points", args=[place.ref]),
        watched=[],
        act=act,
        crumbs=list_crumbs(place, "sites:points", _("Points")),
        after=lambda: added[0],
    )
    return verb_page(request, form, page)


@page_for(Action.CHANGE_GROUND)
def point_change(request: SignedInRequest, ref: str) -> HttpResponse:
    """Change what is known of a point."""
    one = point_to_change(request, ref)
    form = ChangePointForm(sent(request), place=one.property, row=one)

    def act(data: dict[str, Any]) -> str:
        verbs.change_point(point=one, values=form.values(), why=data["why"])
        return _("%s is changed.") % one

    return change_page(
        request, one, form, act, heading=_("Change point %s") % one, button=_("Keep this")
    )


@page_for(Action.CHANGE_GROUND)
def point_move(request: SignedInRequest, ref: str) -> HttpResponse:
    """Correct where a point stands."""
    one = point_to_change(request, ref)
    form = PositionForm(sent(request), row=one)

    def act(data: dict[str, Any]) -> str:
        verbs.move_point(point=one, why=data["why"], **form.values())
        return _("The position of %s is kept.") % one

    return change_page(
        request,
        one,
        form,
        act,
        heading=_("Position of %s") % one,
        button=_("Keep this position"),
        lead=_("Stand at the lid and take the position from your phone's map. "
               "Empty both to take a wrong position away."),
    )  # fmt: skip


@page_for(Action.CHANGE_GROUND)
def point_wires(request: SignedInRequest, ref: str) -> HttpResponse:
    """Say what each wire does at a point."""
    one = point_to_change(request, ref)
    form = AtPointForm(sent(request), wires=[(here.wire, here.how) for here in wires_at(one)])

    def act(data: dict[str, Any]) -> str:
        n = say_at_point(point=one, hows=form.hows(), why=data["why"])
        return ngettext("%d wire is noted.", "%d wires are noted.", n) % n

    return change_page(
        request,
        one,
        form,
        act,
        heading=_("What the wires do at %s") % one,
        button=_("Keep this"),
        watched=[one, *one.wires_here.order_by("pk")],
        lead=_("A wire that passes uncut has no splice here: do not cut it to find out."),
    )


@page_for(Action.CHANGE_GROUND)
def point_retire(request: SignedInRequest, ref: str) -> HttpResponse:
    """Retire a point."""
    one = point_to_change(request, ref)
    retire = partial(verbs.retire_point, point=one)
    return retire_page(request, one, retire, heading=_("Retire point %s") % one)


@page_for(Action.CHANGE_GROUND)
def point_bring_back(request: SignedInRequest, ref: str) -> HttpResponse:
    """Bring a retired point back."""
    one = point_to_change(request, ref)
    bring_back = partial(verbs.bring_back_point, point=one)
    return bring_back_page(request, one, bring_back, heading=_("Bring back point %s") % one)
