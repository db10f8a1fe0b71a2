"""A point's page, and the verbs on points."""

from functools import cached_property

from django.db.models import Model
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from sites.ground.forms.points_and_legs import (
    AtPointForm,
    ChangePointForm,
    NewPointForm,
    PositionForm,
)
from sites.ground.services.finding import find_points
from sites.ground.services.points import (
    add_point,
    bring_back_point,
    change_point,
    move_point,
    retire_point,
)
from sites.ground.views.common import (
    AddView,
    BringBackMixin,
    PointView,
    RetireMixin,
    ground_crumbs,
)
from sites.kernel.access import SignedInRequest, actions_on, find, may, page_for, points_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.history import history_of
from sites.kernel.views.verb_views import Text
from sites.models import Point
from sites.wires.services.terminals import say_at_point
from sites.wires.services.told import legs_at, wires_at


@page_for(Action.SEE_REGISTER)
def point(request: SignedInRequest, ref: str) -> HttpResponse:
    """One point: what it is, which wires come here and what each does, its legs."""
    one = find(points_for(request.user).select_related("property"), ref=ref)
    context: dict[str, object] = {
        "point": one,
        "place": one.property,
        "crumbs": ground_crumbs(one)[:-1],
        "may_here": actions_on(request.user, one.property),
        "found": find_points([one], one.property).get(one.pk),
        "wires": wires_at(one),
        "legs": legs_at(one),
        "stations": one.stations.in_care().select_related("controller").order_by("number", "pk"),
    }
    if may(request.user, Action.SEE_HISTORY, one.property):
        context["history"] = history_of(one)
    return render(request, "sites/ground/point.html", context)


class PointAdd(AddView):
    """Add a point to a property."""

    verb = add_point
    form_class = NewPointForm
    heading, button = _("Add a point"), _("Add it")
    list_name, list_heading = "sites:points", _("Points")

    def get_done(self) -> Text:
        return str(_("%s is registered.") % self.result)


class PointChange(PointView):
    """Change what is known of a point."""

    verb = change_point
    form_class = ChangePointForm
    heading = _("Change point %s")
    done = _("%s is changed.")


class PointMove(PointView):
    """Correct where a point stands."""

    verb = move_point
    form_class = PositionForm
    heading, button = _("Position of %s"), _("Keep this position")
    lead = _(
        "Stand at the lid and take the position from your phone's map. "
        "Empty both to take a wrong position away."
    )
    done = _("The position of %s is kept.")


class PointWires(PointView):
    """Say what each wire does at a point."""

    verb = say_at_point
    heading = _("What the wires do at %s")
    lead = _("A wire that passes uncut has no splice here: do not cut it to find out.")

    @cached_property
    def form(self) -> AtPointForm:
        return AtPointForm(self.posted, wires=[(h.wire, h.how) for h in wires_at(self.row)])

    def get_watched(self) -> list[Model]:
        return [self.row, *self.row.wires_here.order_by("pk")]

    def get_done(self) -> Text:
        n: int = self.result
        return ngettext("%d wire is noted.", "%d wires are noted.", n) % n


class PointRetire(RetireMixin[Point], PointView):
    """Retire a point."""

    verb = retire_point
    heading = _("Retire point %s")


class PointBringBack(BringBackMixin[Point], PointView):
    """Bring a retired point back."""

    verb = bring_back_point
    heading = _("Bring back point %s")
