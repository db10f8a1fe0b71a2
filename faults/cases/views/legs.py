"""A leg's page with the breaks along it, and the verbs that move or must spare breaks."""

from django.db.models import Model
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext_lazy as _

from faults.cases.forms.legs import FIRST, SECOND, CorrectLengthForm, SplitForm
from faults.cases.services.leg_breaks import breaks_along, whole_and_parts
from faults.cases.services.lengths import correct_length
from faults.cases.services.splitting import rejoin_leg, split_leg
from sites.ground.forms.points_and_legs import MayWhyForm
from sites.ground.queries import points_in_use
from sites.ground.services.points import add_point
from sites.ground.services.splitting import resolve
from sites.ground.views.common import LegView, address_of, ground_crumbs
from sites.kernel.access import SignedInRequest, actions_on, find, legs_for, may, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.history import history_of
from sites.kernel.views.verb_views import Text
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
    context: dict[str, object] = {
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


class LegCorrectLength(LegView):
    """Correct a length that was wrong."""

    verb = correct_length
    form_class = CorrectLengthForm
    heading, button = _("Correct the length of leg %s"), _("Put it right")
    lead = _(
        "The ground did not change; the number was wrong. Breaks keep their distance from "
        "the end they were measured from."
    )
    done = _("The length of %s is put right.")

    def arguments(self, data: dict[str, object]) -> dict[str, object]:
        has_other = "length" in self.form.changed_data
        length = data["length"] if has_other else self.row.length_ft
        return super().arguments({**data, "length_ft": length})


class LegSplit(LegView):
    """Split a leg at a point that was found inside it."""

    verb = split_leg
    heading, button = _("Split leg %s at a point"), _("Split it")
    lead = _(
        "For a box that nobody knew of. Both parts keep depth, cover, wires and renewals; "
        "every break keeps its place."
    )

    def get_form(self) -> SplitForm:
        leg = self.row
        points = points_in_use(leg.property).exclude(pk__in=(leg.from_point_id, leg.to_point_id))
        # The advice of a search says where: from which end, in the property's units.
        asked = self.request.GET
        told = {
            "on": self.today,
            "feet": asked.get("feet"),
            "measured_from": SECOND if "from_second" in asked else FIRST,
        }
        return SplitForm(self.posted, leg=leg, points=points, initial=told)

    def arguments(self, data: dict[str, object]) -> dict[str, object]:
        values = {"name": data["new_name"], "kind": data["new_kind"]}
        self.point = data["point"] or add_point(place=self.row.property, values=values)
        from_second = data["measured_from"] == SECOND
        return super().arguments({**data, "point": self.point, "from_second": from_second})

    def get_done(self) -> Text:
        words = {"leg": self.row, "point": self.point}
        return str(_("%(leg)s is split at %(point)s.") % words)


class LegRejoin(LegView):
    """Join the parts of a split leg."""

    verb = rejoin_leg
    form_class = MayWhyForm
    heading, button = _("Join the parts of leg %s"), _("Join them")
    lead = _(
        "For a split that was a mistake. It is refused when something was done to the "
        "parts, or at the point between them, since."
    )
    done = _("Leg %s is whole again.")

    def get_watched(self) -> list[Model]:
        _whole, parts = whole_and_parts(self.row)
        return [self.row, *(parts.both if parts else ())]


def _feet(request: SignedInRequest) -> float | None:
    try:
        feet = float(request.GET.get("feet", ""))
    except ValueError:
        return None
    return feet if 0 <= feet < 1_000_000 else None
