"""The verbs on legs that the register alone decides. A leg's page tells of breaks: `faults`."""

from functools import partial
from typing import Any

from django.http import HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _

from sites.ground.forms.ground import ChangeLegForm, NewLegForm, RenewForm, TakeBackRenewalForm
from sites.ground.queries import points_in_use
from sites.ground.services import legs as verbs
from sites.ground.services.renewals import renew_leg, take_back_renewal
from sites.ground.views.ground_help import (
    address_of,
    bring_back_page,
    change_page,
    leg_to_change,
    list_crumbs,
    place_to_change,
    retire_page,
    sent,
)
from sites.kernel.access import SignedInRequest, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_help import today_at
from sites.kernel.views.verbs import VerbPage, verb_page


@page_for(Action.CHANGE_GROUND)
def leg_add(request: SignedInRequest, ref: str) -> HttpResponse:
    """Add a leg between two points of a property."""
    place = place_to_change(request, ref)
    points = points_in_use(place)
    start = points.filter(ref=request.GET.get("from", "")).first()
    form = NewLegForm(sent(request), place=place, points=points, start=start)
    added: list[str] = []

    def act(data: dict[str, Any]) -> str:
        new = verbs.add_leg(place=place, start=data["start"], end=data["end"], values=form.values())
        added.append(address_of(new))
        return _("Leg %s is registered.") % new

    page = VerbPage(
        heading=_("Add a leg"),
        button=_("Add it"),
        back=reverse("sites:legs", args=[place.ref]),
        watched=[],
        act=act,
        crumbs=list_crumbs(place, "sites:legs", _("Legs")),
        lead=_("A leg is a stretch of ground between two neighbouring points."),
        after=lambda: added[0],
    )
    return verb_page(request, form, page)


@page_for(Action.CHANGE_GROUND)
def leg_change(request: SignedInRequest, ref: str) -> HttpResponse:
    """Change depth, cover, conduit, label or notes of a leg."""
    leg = leg_to_change(request, ref)
    form = ChangeLegForm(sent(request), place=leg.property, row=leg)

    def act(data: dict[str, Any]) -> str:
        verbs.change_leg(leg=leg, values=form.values(), why=data["why"])
        return _("Leg %s is changed.") % leg

    return change_page(
        request,
        leg,
        form,
        act,
        heading=_("Change leg %s") % leg,
        button=_("Keep this"),
        lead=_("A wrong length is corrected on a page of its own, because breaks lie along it."),
    )


@page_for(Action.CHANGE_GROUND)
def leg_renew(request: SignedInRequest, ref: str) -> HttpResponse:
    """Record new conduit, new cable, a guard or deeper laying."""
    leg = leg_to_change(request, ref)
    today = today_at(leg.property)
    form = RenewForm(sent(request), place=leg.property, initial={"on": today})

    def act(data: dict[str, Any]) -> str:
        renew_leg(leg=leg, today=today, **data)
        return _("The renewal is recorded: faults on %s are counted again from that day.") % leg

    return change_page(
        request,
        leg,
        form,
        act,
        heading=_("Renewal of leg %s") % leg,
        button=_("Record it"),
        lead=_("Work after which the past of this leg says little about its future."),
    )


@page_for(Action.CHANGE_GROUND)
def leg_renewal_take_back(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take back a renewal that was entered by mistake."""
    leg = leg_to_change(request, ref)
    form = TakeBackRenewalForm(sent(request), renewals=list(leg.renewals.order_by("-on", "pk")))

    def act(data: dict[str, Any]) -> str:
        take_back_renewal(renewal=data["renewal"], why=data["why"])
        return _("The renewal is taken back. The leg's history keeps it.")

    return change_page(
        request,
        leg,
        form,
        act,
        heading=_("Take back a renewal of leg %s") % leg,
        button=_("Take it back"),
    )


@page_for(Action.CHANGE_GROUND)
def leg_retire(request: SignedInRequest, ref: str) -> HttpResponse:
    """Retire a leg."""
    leg = leg_to_change(request, ref)
    retire = partial(verbs.retire_leg, leg=leg)
    return retire_page(request, leg, retire, heading=_("Retire leg %s") % leg)


@page_for(Action.CHANGE_GROUND)
def leg_bring_back(request: SignedInRequest, ref: str) -> HttpResponse:
    """Bring a retired leg back."""
    leg = leg_to_change(request, ref)
    bring_back = partial(verbs.bring_back_leg, leg=leg)
    return bring_back_page(request, leg, bring_back, heading=_("Bring back leg %s") % leg)
