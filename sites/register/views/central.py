"""A controller: its facts, its link to central control, its equipment, and the verbs on it."""

from collections.abc import Callable
from functools import cached_property
from typing import Any

from django.db.models import Model
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from sites.kernel.access import SignedInRequest, actions_on, controllers_for, find, may, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import CHANGED, WhyForm
from sites.kernel.services.dated import lasting
from sites.kernel.services.history import history_of
from sites.kernel.views.verb_help import (
    ChosenMixin,
    ControllerView,
    DatedMixin,
    property_crumbs,
)
from sites.kernel.views.verb_views import Text
from sites.models import CentralState, Controller, Equipment, Station
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


class ControllerLink(ControllerView):
    """The link was lost, restored, or meant to be; or what is recorded of it was wrong."""

    verb = change_link
    correct = correct_link
    form_class = LinkForm
    heading, button = _("Central link of controller %s"), _("Record this")

    @cached_property
    def now(self) -> CentralState | None:
        """What holds today."""
        return last_state(self.row)

    def get_initial(self) -> dict[str, object]:
        return {"what": CHANGED, "on": self.today, "is_exact": True}

    def get_lead(self) -> Text:
        now = self.now
        return _("Now: %(state)s, since %(day)s.") % {
            "state": self.row.get_central_display(),
            "day": now.from_on.isoformat() if now and now.from_on else _("ever, as far as we know"),
        }

    def get_watched(self) -> list[Model]:
        return [self.row, *([self.now] if self.now else [])]

    @property
    def has_changed(self) -> bool:
        """Whether the link changed, rather than the record was wrong."""
        return bool(self.form.cleaned_data["what"] == CHANGED)

    def get_verb(self) -> Callable[..., Any]:
        return type(self).verb if self.has_changed else type(self).correct

    def get_done(self) -> Text:
        if self.has_changed:
            return _("Recorded. The days of its stations are counted again.")
        return _("Put right. The days of its stations are counted again.")


class ControllerRenumber(ControllerView):
    """New numbers beside the old ones; each station stays itself."""

    verb = renumber_stations
    heading = _("Renumber the stations of controller %s")
    button = _("Give these numbers")
    lead = _("Each station stays itself, with its history, whatever its number. Two may swap.")
    caution = _("Files made before today name the old numbers; a load will stop and say so.")
    template_name = "sites/controllers/renumber.html"

    @cached_property
    def stations(self) -> list[Station]:
        """The stations in care."""
        return list(self.row.stations.filter(retired_on__isnull=True).order_by("number", "pk"))

    def get_form(self) -> RenumberForm:
        return RenumberForm(self.posted, stations=self.stations)

    def get_watched(self) -> list[Station]:
        return self.stations

    def get_done(self) -> Text:
        n: int = self.result
        words = ngettext("One station has a new number.", "%(n)s stations have new numbers.", n)
        return words % {"n": n}


class ControllerEdit(ControllerView):
    """Name, wiring, output, notes."""

    verb = change_controller
    form_class = ControllerFactsForm
    heading = _("Change controller %s")


class _OfEquipment(ChosenMixin[Controller], ControllerView):
    def get_rows(self) -> list[Equipment]:
        return lasting(self.row.equipment)

    def get_usual(self) -> Equipment | None:
        return equipment_now(self.row)


class ControllerEquipment(DatedMixin[Controller], _OfEquipment):
    """Other equipment was put in its place, or what is recorded of it was wrong."""

    verb = replace_equipment
    correct = correct_equipment
    takes_chosen = "equipment"
    form_class = EquipmentForm
    heading = _("What stands in the place of controller %s")
    lead = _("The controller keeps its identity, its stations and its history.")
    caution = _(
        "Work on the mains side of a controller belongs to licensed people and local codes."
    )

    def get_words(self, row: Equipment) -> str:
        return _equipment(row)

    def get_take_back(self) -> str:
        has_changed = self.usual is not None and self.usual.from_on is not None
        address = reverse("sites:controller_equipment_back", args=[self.row.ref])
        return address if has_changed else ""


def _equipment(row: Equipment) -> str:
    return ", ".join(piece for piece in (row.label, row.serial, row.notes) if piece)


class ControllerEquipmentBack(_OfEquipment):
    """Take the latest replacement back."""

    verb = take_back_equipment
    form_class = WhyForm
    heading, button = _("Take the latest replacement back"), _("It was not replaced")
    done = _("Taken back. What stood there before stands there again.")

    def get_lead(self) -> Text:
        return _equipment(self.usual) if self.usual else ""
