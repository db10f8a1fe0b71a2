"""A controller: its facts, its link to central control, its equipment, and the verbs on it."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from sites.kernel.access import SignedInRequest, actions_on, controllers_for, find, may, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import CHANGED, WhyForm
from sites.kernel.services.dated import lasting
from sites.kernel.services.history import history_of
from sites.kernel.views.verb_help import (
    acting,
    chosen_row,
    controller_crumbs,
    dated_page,
    property_crumbs,
    today_at,
)
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.models import Controller, Equipment
from sites.register.forms.central import LinkForm
from sites.register.forms.stations import ControllerFactsForm, EquipmentForm, RenumberForm
from sites.register.queries.stations import count_by_reason, off_central_now
from sites.register.services.central import change_link, correct_link, last_state
from sites.register.services.equipment import (
    correct_equipment,
    equipment_now,
    replace_equipment,
    take_back_equipment,
)
from sites.register.services.property_facts import change_controller
from sites.register.services.renumber import renumber_stations


@page_for(Action.SEE_REGISTER)
def controller(request: SignedInRequest, ref: str) -> HttpResponse:
    """One controller: facts, how central has reached it, what stood there, what is retired."""
    one = find(controllers_for(request.user).select_related("property"), ref=ref)
    off = off_central_now(request.user).filter(station__controller=one)
    context: dict[str, Any] = {
        "controller": one,
        "place": one.property,
        "crumbs": property_crumbs(one.property),
        "may_here": actions_on(request.user, one.property),
        "station_total": one.stations.filter(retired_on__isnull=True).count(),
        "reasons": count_by_reason(off),
        "states": list(one.states.order_by("-from_on", "-pk")[:50]),
        "equipment": lasting(one.equipment),
        "retired": list(one.stations.filter(retired_on__isnull=False).order_by("number", "pk")),
    }
    context["states"].sort(key=lambda state: (state.to_on is None, state.to_on), reverse=True)
    context["off"] = sum(context["reasons"].values())
    if may(request.user, Action.SEE_HISTORY, one.property):
        context["history"] = history_of(one)
    return render(request, "sites/controllers/controller.html", context)


def _find(request: SignedInRequest, ref: str) -> Controller:
    rows = controllers_for(request.user, Action.EDIT_REGISTER).select_related("property")
    return find(rows, ref=ref)


def _page(one: Controller, **given: Any) -> VerbPage:
    """Return a page about one controller; it leads back to the controller."""
    return VerbPage(
        **{
            "back": reverse("sites:controller", args=[one.ref]),
            "crumbs": controller_crumbs(one),
            "watched": [one],
            **given,
        }
    )


@page_for(Action.EDIT_REGISTER)
def controller_link(request: SignedInRequest, ref: str) -> HttpResponse:
    """The link was lost, restored, or meant to be; or what is recorded of it was wrong."""
    one = _find(request, ref)
    today = today_at(one.property)
    now = last_state(one)
    initial = {"what": CHANGED, "on": today, "is_exact": True}
    form = LinkForm(request.POST or None, initial=initial)

    def act(data: dict[str, Any]) -> str:
        given = {name: data[name] for name in ("state", "on", "is_exact", "notes")}
        if data["what"] == CHANGED:
            change_link(controller=one, **given, today=today)
            return _("Recorded. The days of its stations are counted again.")
        correct_link(controller=one, **given, why=data["why"], today=today)
        return _("Put right. The days of its stations are counted again.")

    since = now.from_on.isoformat() if now and now.from_on else _("ever, as far as we know")
    page = _page(
        one,
        heading=_("Central link of controller %s") % one,
        button=_("Record this"),
        lead=_("Now: %(state)s, since %(day)s.")
        % {"state": one.get_central_display(), "day": since},
        watched=[one, *([now] if now else [])],
        act=act,
    )
    return verb_page(request, form, page)


@page_for(Action.EDIT_REGISTER)
def controller_renumber(request: SignedInRequest, ref: str) -> HttpResponse:
    """New numbers beside the old ones; each station stays itself."""
    one = _find(request, ref)
    stations = list(one.stations.filter(retired_on__isnull=True).order_by("number", "pk"))
    form = RenumberForm(request.POST or None, stations=stations)

    def act(_data: dict[str, Any]) -> str:
        n = renumber_stations(controller=one, numbers=form.numbers())
        words = ngettext("One station has a new number.", "%(n)s stations have new numbers.", n)
        return words % {"n": n}

    page = _page(
        one,
        heading=_("Renumber the stations of controller %s") % one,
        button=_("Give these numbers"),
        lead=_("Each station stays itself, with its history, whatever its number. Two may swap."),
        caution=_("Files made before today name the old numbers; a load will stop and say so."),
        watched=stations,
        act=act,
        template="sites/controllers/renumber.html",
    )
    return verb_page(request, form, page)


@page_for(Action.EDIT_REGISTER)
def controller_edit(request: SignedInRequest, ref: str) -> HttpResponse:
    """Name, wiring, output, notes."""
    one = _find(request, ref)
    form = ControllerFactsForm(request.POST or None, controller=one)

    def act(_data: dict[str, Any]) -> str:
        change_controller(controller=one, values=form.values())
        return _("Kept.")

    page = _page(one, heading=_("Change controller %s") % one, button=_("Keep this"), act=act)
    return verb_page(request, form, page)


@page_for(Action.EDIT_REGISTER)
def controller_equipment(request: SignedInRequest, ref: str) -> HttpResponse:
    """Other equipment was put in its place, or what is recorded of it was wrong."""
    one = _find(request, ref)
    today = today_at(one.property)
    rows, now = lasting(one.equipment), equipment_now(one)
    row = chosen_row(request, rows, now)
    form = EquipmentForm(request.POST or None, row=row, is_current=row == now, controller=one)
    page = _page(
        one,
        heading=_("What stands in the place of controller %s") % one,
        button=_("Keep this"),
        lead=_("The controller keeps its identity, its stations and its history."),
        caution=_(
            "Work on the mains side of a controller belongs to licensed people and local codes."
        ),
        watched=[one, *([row] if row else [])],
        act=acting(
            form,
            change=lambda data: replace_equipment(
                controller=one,
                values=form.values(),
                brought=form.brought(),
                on=data["on"],
                today=today,
            ),
            correct=lambda data: correct_equipment(
                equipment=row, values=form.values(), why=data["why"]
            ),
        ),
        template="sites/dated.html",
    )
    back = reverse("sites:controller_equipment_back", args=[one.ref])
    is_taken_back = now is not None and now.from_on is not None
    return dated_page(
        request, form, page, rows=rows, words=_equipment, take_back=back if is_taken_back else ""
    )


def _equipment(row: Equipment) -> str:
    return ", ".join(piece for piece in (row.label, row.serial, row.notes) if piece)


@page_for(Action.EDIT_REGISTER)
def controller_equipment_back(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take the latest replacement back."""
    one = _find(request, ref)
    now = equipment_now(one)

    def act(data: dict[str, Any]) -> str:
        take_back_equipment(controller=one, why=data["why"])
        return _("Taken back. What stood there before stands there again.")

    page = _page(
        one,
        heading=_("Take the latest replacement back"),
        button=_("It was not replaced"),
        lead=_equipment(now) if now else "",
        watched=[one, *([now] if now else [])],
        act=act,
    )
    return verb_page(request, WhyForm(request.POST or None), page)
