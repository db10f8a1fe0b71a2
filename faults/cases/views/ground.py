"""A leg's page with the breaks along it, and the verbs that move or must spare breaks."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from faults.cases.forms.ground import SECOND, CorrectLengthForm, SplitForm
from faults.cases.services.ground_told import breaks_along, whole_and_parts
from faults.cases.services.lengths import correct_length
from faults.cases.services.splitting import rejoin_leg, split_leg
from sites.ground.forms.ground import MayWhyForm
from sites.ground.queries import points_in_use
from sites.ground.services.points import add_point
from sites.ground.services.splitting import resolve
from sites.ground.views.ground_help import (
    address_of,
    change_page,
    ground_crumbs,
    leg_to_change,
    sent,
)
from sites.kernel.access import SignedInRequest, actions_on, find, legs_for, may, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.history import history_of
from sites.kernel.views.verb_help import today_at
from sites.models import Leg
from sites.wires.services.told import wires_along


@page_for(Action.SEE_REGISTER)
def leg(request: SignedInRequest, ref: str) -> HttpResponse:
    """One leg: how long and deep, which wires lie in it, renewals, breaks, splits.

    `?feet=` names a place along it: a leg that was split leads to the part that is there now.
    """
    legs = legs_for(request.user)
    one = find(legs.select_related("property", "from_point", "to_point", "split_from"), ref=ref)
    feet = _feet(request)
    if feet is not None and (there := resolve(one, feet))[0] != one:
        return redirect(f"{address_of(there[0])}?feet={there[1]:g}")
    whole, parts = whole_and_parts(one)
    context: dict[str, Any] = {
        "leg": one,
        "place": one.property,
        "crumbs": ground_crumbs(one)[:-1],
        "may_here": actions_on(request.user, one.property),
        "feet": feet,
        "wires": wires_along(one),
        "renewals": one.renewals.order_by("-on", "pk"),
        "breaks": breaks_along(request.user, one),
        "whole": whole,
        "parts": parts,
    }
    if may(request.user, Action.SEE_HISTORY, one.property):
        context["history"] = history_of(one)
    return render(request, "sites/ground/leg.html", context)


@page_for(Action.CHANGE_GROUND)
def leg_correct_length(request: SignedInRequest, ref: str) -> HttpResponse:
    """Correct a length that was wrong."""
    one = leg_to_change(request, ref)
    form = CorrectLengthForm(sent(request), leg=one)

    def act(data: dict[str, Any]) -> str:
        length = data["length"] if "length" in form.changed_data else one.length_ft
        correct_length(
            leg=one, length_ft=length, length_source=data["length_source"], why=data["why"]
        )
        return _("The length of %s is put right.") % one

    return change_page(
        request,
        one,
        form,
        act,
        heading=_("Correct the length of leg %s") % one,
        button=_("Put it right"),
        lead=_("The ground did not change; the number was wrong. Breaks keep their distance from "
               "the end they were measured from."),
    )  # fmt: skip


@page_for(Action.CHANGE_GROUND)
def leg_split(request: SignedInRequest, ref: str) -> HttpResponse:
    """Split a leg at a point that was found inside it."""
    one = leg_to_change(request, ref)
    today = today_at(one.property)
    points = points_in_use(one.property).exclude(pk__in=(one.from_point_id, one.to_point_id))
    form = SplitForm(sent(request), leg=one, points=points, initial={"on": today})

    def act(data: dict[str, Any]) -> str:
        point = data["point"] or add_point(
            place=one.property, values={"name": data["new_name"], "kind": data["new_kind"]}
        )
        split_leg(
            leg=one,
            point=point,
            feet=data["feet"],
            from_second=data["measured_from"] == SECOND,
            on=data["on"],
            today=today,
        )
        return _("%(leg)s is split at %(point)s.") % {"leg": one, "point": point}

    return change_page(
        request,
        one,
        form,
        act,
        heading=_("Split leg %s at a point") % one,
        button=_("Split it"),
        lead=_("For a box that nobody knew of. Both parts keep depth, cover, wires and renewals; "
               "every break keeps its place."),
    )  # fmt: skip


@page_for(Action.CHANGE_GROUND)
def leg_rejoin(request: SignedInRequest, ref: str) -> HttpResponse:
    """Join the parts of a split leg."""
    one = leg_to_change(request, ref)
    _whole, parts = whole_and_parts(one)
    watched: list[Leg] = [one, *(parts.both if parts else ())]

    def act(data: dict[str, Any]) -> str:
        rejoin_leg(leg=one, why=data["why"])
        return _("Leg %s is whole again.") % one

    return change_page(
        request,
        one,
        MayWhyForm(sent(request)),
        act,
        heading=_("Join the parts of leg %s") % one,
        button=_("Join them"),
        watched=watched,
        lead=_("For a split that was a mistake. It is refused when something was done to the "
               "parts, or at the point between them, since."),
    )  # fmt: skip


def _feet(request: SignedInRequest) -> float | None:
    try:
        feet = float(request.GET.get("feet", ""))
    except ValueError:
        return None
    return feet if 0 <= feet < 1_000_000 else None
