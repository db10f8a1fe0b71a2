"""Retire a station, a controller or a property from a day, or bring it back; what is retired."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from sites.kernel.access import (
    SignedInRequest,
    actions_on,
    controllers_for,
    find,
    page_for,
    properties_for,
    stations_for,
)
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import OnAndWhyForm, WhyForm
from sites.kernel.views.verb_help import (
    Crumbs,
    controller_crumbs,
    property_crumbs,
    station_crumbs,
    today_at,
)
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.models import Controller, Property, Station
from sites.register.services import retire as verbs


@dataclass(frozen=True)
class _Leaving:
    """What goes or comes back, and the two verbs on it."""

    row: Station | Controller | Property
    name: str
    back: str
    crumbs: Crumbs
    go: Callable[..., None]
    come_back: Callable[..., None]
    stopgaps_left: int


@page_for(Action.EDIT_REGISTER)
def station_retire(request: SignedInRequest, ref: str) -> HttpResponse:
    """Retire a station, or bring it back."""
    rows = stations_for(request.user, Action.EDIT_REGISTER)
    one = find(rows.select_related("controller__property"), ref=ref)
    leaving = _Leaving(
        row=one,
        name=_("station %s") % one,
        back=reverse("reports:station", args=[one.ref]),
        crumbs=station_crumbs(one),
        go=lambda **given: verbs.retire_station(station=one, **given),
        come_back=lambda **given: verbs.bring_station_back(station=one, **given),
        stopgaps_left=verbs.stopgaps_left_on([one.pk]),
    )
    return _page(request, leaving, today_at(one.controller.property))


@page_for(Action.EDIT_REGISTER)
def controller_retire(request: SignedInRequest, ref: str) -> HttpResponse:
    """Retire a controller with its stations, or bring it back."""
    rows = controllers_for(request.user, Action.EDIT_REGISTER).select_related("property")
    one = find(rows, ref=ref)
    leaving = _Leaving(
        row=one,
        name=_("controller %s") % one,
        back=reverse("sites:controller", args=[one.ref]),
        crumbs=controller_crumbs(one),
        go=lambda **given: verbs.retire_controller(controller=one, **given),
        come_back=lambda **given: verbs.bring_controller_back(controller=one, **given),
        stopgaps_left=verbs.stopgaps_left_on(one.stations.values_list("pk", flat=True)),
    )
    return _page(request, leaving, today_at(one.property))


@page_for(Action.EDIT_REGISTER)
def property_retire(request: SignedInRequest, ref: str) -> HttpResponse:
    """Retire a property with all that is on it, or bring it back."""
    one = find(properties_for(request.user, Action.EDIT_REGISTER), ref=ref)
    leaving = _Leaving(
        row=one,
        name=one.code,
        back=reverse("reports:property", args=[one.ref]),
        crumbs=property_crumbs(one),
        go=lambda **given: verbs.retire_property(place=one, **given),
        come_back=lambda **given: verbs.bring_property_back(place=one, **given),
        stopgaps_left=verbs.stopgaps_left_on(verbs.stations_of(one)),
    )
    return _page(request, leaving, today_at(one))


def _page(request: SignedInRequest, leaving: _Leaving, today: date) -> HttpResponse:
    """Ask for the day and why, or only why where it comes back."""
    if leaving.row.retired_on is not None:
        return verb_page(request, *_coming_back(request, leaving))
    return verb_page(request, *_going(request, leaving, today))


def _going(
    request: SignedInRequest, leaving: _Leaving, today: date
) -> tuple[OnAndWhyForm, VerbPage]:
    def act(data: dict[str, Any]) -> str:
        leaving.go(on=data["on"], why=data["why"], today=today)
        return str(_("Retired from %s on.") % data["on"].isoformat())

    page = VerbPage(
        heading=_("Retire %s") % leaving.name,
        button=_("Retire it"),
        lead=_("It leaves all lists and counts from that day on; its history stays."),
        caution=ngettext(
            "One stopgap still stands there. Retiring does not fetch it.",
            "%(n)s stopgaps still stand there. Retiring does not fetch them.",
            leaving.stopgaps_left,
        )
        % {"n": leaving.stopgaps_left}
        if leaving.stopgaps_left
        else "",
        back=leaving.back,
        crumbs=leaving.crumbs,
        watched=[leaving.row],
        act=act,
    )
    return OnAndWhyForm(request.POST or None, initial={"on": today}), page


def _coming_back(request: SignedInRequest, leaving: _Leaving) -> tuple[WhyForm, VerbPage]:
    def act(data: dict[str, Any]) -> str:
        leaving.come_back(why=data["why"])
        return _("Back in care. Its days off central control are counted again.")

    retired_on = leaving.row.retired_on
    page = VerbPage(
        heading=_("Bring %s back") % leaving.name,
        button=_("Bring it back"),
        lead=_("Retired on %s.") % (retired_on.isoformat() if retired_on else ""),
        back=leaving.back,
        crumbs=leaving.crumbs,
        watched=[leaving.row],
        act=act,
    )
    return WhyForm(request.POST or None), page


@page_for(Action.EDIT_REGISTER)
def retired_properties(request: SignedInRequest) -> HttpResponse:
    """Properties that were retired, so that one can be brought back."""
    rows = properties_for(request.user, Action.EDIT_REGISTER).filter(retired_on__isnull=False)
    context = {"properties": list(rows.order_by("code", "pk")[:500])}
    return render(request, "sites/retired.html", context)


@page_for(Action.SEE_REGISTER)
def property_retired(request: SignedInRequest, ref: str) -> HttpResponse:
    """What was retired on one property."""
    place = find(properties_for(request.user), ref=ref)
    stations = stations_for(request.user).filter(
        controller__property=place, retired_on__isnull=False
    )
    context = {
        "place": place,
        "crumbs": property_crumbs(place),
        "may_here": actions_on(request.user, place),
        "controllers": list(
            place.controllers.filter(retired_on__isnull=False).order_by("name", "pk")[:500]
        ),
        "stations": list(
            stations.select_related("controller").order_by("controller__name", "number", "pk")[:500]
        ),
    }
    return render(request, "sites/retired.html", context)
