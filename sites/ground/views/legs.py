"""The verbs on legs that the register alone decides. A leg's page tells of breaks: `faults`."""

from django.utils.translation import gettext_lazy as _

from sites.ground.forms.points_and_legs import (
    ChangeLegForm,
    NewLegForm,
    RenewForm,
    TakeBackRenewalForm,
)
from sites.ground.queries import points_in_use
from sites.ground.services.legs import add_leg, bring_back_leg, change_leg, retire_leg
from sites.ground.services.renewals import renew_leg, take_back_renewal
from sites.ground.views.common import AddView, BringBackMixin, LegView, RetireMixin
from sites.kernel.views.verb_views import Text
from sites.models import Leg


class LegAdd(AddView):
    """Add a leg between two points of a property."""

    verb = add_leg
    heading, button = _("Add a leg"), _("Add it")
    lead = _("A leg is a stretch of ground between two neighbouring points.")
    list_name, list_heading = "sites:legs", _("Legs")

    def get_form(self) -> NewLegForm:
        points = points_in_use(self.row)
        start = points.filter(ref=self.request.GET.get("from", "")).first()
        return NewLegForm(self.posted, place=self.row, points=points, start=start)

    def get_done(self) -> Text:
        return str(_("Leg %s is registered.") % self.result)


class LegChange(LegView):
    """Change depth, cover, conduit, label or notes of a leg."""

    verb = change_leg
    form_class = ChangeLegForm
    heading = _("Change leg %s")
    lead = _("A wrong length is corrected on a page of its own, because breaks lie along it.")
    done = _("Leg %s is changed.")


class LegRenew(LegView):
    """Record new conduit, new cable, a guard or deeper laying."""

    verb = renew_leg
    form_class = RenewForm
    starts_today = ("on",)
    heading, button = _("Renewal of leg %s"), _("Record it")
    lead = _("Work after which the past of this leg says little about its future.")
    done = _("The renewal is recorded: faults on %s are counted again from that day.")


class LegRenewalTakeBack(LegView):
    """Take back a renewal that was entered by mistake."""

    verb = take_back_renewal
    heading, button = _("Take back a renewal of leg %s"), _("Take it back")
    done = _("The renewal is taken back. The leg's history keeps it.")

    def get_form(self) -> TakeBackRenewalForm:
        renewals = list(self.row.renewals.order_by("-on", "pk"))
        return TakeBackRenewalForm(self.posted, renewals=renewals)


class LegRetire(RetireMixin[Leg], LegView):
    """Retire a leg."""

    verb = retire_leg
    heading = _("Retire leg %s")


class LegBringBack(BringBackMixin[Leg], LegView):
    """Bring a retired leg back."""

    verb = bring_back_leg
    heading = _("Bring back leg %s")
