"""A wire's page, and the verbs on wires in the ground."""

from functools import cached_property
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _

from sites.ground.forms.points_and_legs import DayAndWhyForm
from sites.ground.views.common import (
    AddView,
    BringBackMixin,
    RetireMixin,
    WireView,
    ground_crumbs,
)
from sites.kernel.access import SignedInRequest, actions_on, find, may, page_for, wires_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.history import history_of
from sites.kernel.views.verb_views import Text
from sites.models import Leg, Wire
from sites.wires.forms import ChangeWireForm, LayForm, OutOfUseForm, TerminalForm
from sites.wires.services.guards import legs_of
from sites.wires.services.laying import (
    bring_back_wire,
    change_wire,
    lay_wire,
    put_out_of_use,
    retire_wire,
    use_again,
)
from sites.wires.services.terminals import take_off_terminal, terminate_wire
from sites.wires.services.told import feeds_of, legs_in_ground, terminations_of, way_of, way_text
from sites.wires.services.ways import read_way


@page_for(Action.SEE_REGISTER)
def wire(request: SignedInRequest, ref: str) -> HttpResponse:
    """One wire: where it lies, what it does at points, its terminals, what it serves."""
    one = find(wires_for(request.user).select_related("property"), ref=ref)
    terminations, feeds = list(terminations_of(one)), list(feeds_of(one))
    context: dict[str, object] = {
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


class WireLay(AddView):
    """Lay a wire on a property."""

    verb = lay_wire
    heading, button = _("Lay a wire"), _("Register it")
    list_name, list_heading = "sites:wires", _("Wires")

    def get_form(self) -> LayForm:
        controllers = self.row.controllers.in_care().order_by("name", "pk")
        return LayForm(self.posted, today=self.today, controllers=controllers)

    def arguments(self, data: dict[str, Any]) -> dict[str, Any]:
        legs = read_way(data["way"], legs=legs_in_ground(self.row))
        return super().arguments({**data, "legs": legs})

    def get_done(self) -> Text:
        return str(_("Wire %s is registered.") % self.result)


class WireChange(WireView):
    """Change what is known of a wire, and where it lies."""

    verb = change_wire
    heading = _("Change wire %s")
    done = _("Wire %s is changed.")

    @cached_property
    def among(self) -> list[Leg]:
        """The legs along which it may lie."""
        return legs_in_ground(self.row.property)

    def get_form(self) -> ChangeWireForm:
        way = way_text(self.row, self.among)
        return ChangeWireForm(self.posted, today=self.today, row=self.row, way=way)

    def arguments(self, data: dict[str, Any]) -> dict[str, Any]:
        has_other = "way" in self.form.changed_data
        legs = read_way(data["way"], legs=self.among) if has_other else None
        return super().arguments({**data, "legs": legs})


class WireRetire(RetireMixin[Wire], WireView):
    """Retire a wire."""

    verb = retire_wire
    heading = _("Retire wire %s")
    lead = _("For a wire that is gone. One that only lies idle is put out of use instead.")


class WireBringBack(BringBackMixin[Wire], WireView):
    """Bring a retired wire back."""

    verb = bring_back_wire
    heading = _("Bring back wire %s")


class WireOutOfUse(WireView):
    """Leave a wire in the ground, not to be counted on."""

    verb = put_out_of_use
    form_class = OutOfUseForm
    heading, button = _("Put wire %s out of use"), _("Put it out of use")
    lead = _("It leaves its terminal on that day and is no longer offered as a spare.")
    done = _("Wire %s is out of use.")

    def get_initial(self) -> dict[str, object]:
        return {"on": self.today, "is_suspected_broken": True}


class WireUseAgain(BringBackMixin[Wire], WireView):
    """Count on a wire again."""

    verb = use_again
    heading = _("Use wire %s again")
    lead = _("It was found sound, or was mended. It returns to the terminal that it left.")


class WireTerminal(WireView):
    """Put a wire on a terminal."""

    verb = terminate_wire
    heading, button = _("Put wire %s on a terminal"), _("Put it there")
    done = _("Wire %s is on its new terminal.")

    def get_form(self) -> TerminalForm:
        controllers = self.row.property.controllers.in_care().order_by("name", "pk")
        ends = terminations_of(self.row)
        known = next((row.controller_id for row in ends if row.to_on is None), None)
        initial = {"on": self.today, "controller": known}
        return TerminalForm(self.posted, controllers=controllers, initial=initial)


class WireTerminalOff(WireView):
    """Take a wire off its terminal."""

    verb = take_off_terminal
    form_class = DayAndWhyForm
    starts_today = ("on",)
    heading, button = _("Take wire %s off its terminal"), _("Take it off")
    done = _("Wire %s is on no terminal.")
