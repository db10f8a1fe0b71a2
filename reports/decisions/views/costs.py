"""Keep what renewing costs at a property or at all, and drop it."""

from typing import Any

from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from reports.decisions.forms import KeepCostsForm
from reports.decisions.queries import costs_for
from reports.decisions.services.costs import drop_renewal_costs, keep_renewal_costs
from reports.models import RenewalCosts
from sites.kernel.access import find
from sites.kernel.views.place_or_all import PlaceOrAllView
from sites.kernel.views.verb_help import Crumbs
from sites.kernel.views.verb_views import VerbView
from sites.models import Property


def _crumbs() -> Crumbs:
    return [(reverse("reports:renew_first"), _("Renew first"))]


class RenewCostsKeep(PlaceOrAllView):
    """Keep what renewing costs, in place of what was kept there before."""

    verb = keep_renewal_costs
    form_class = KeepCostsForm
    heading, button = _("What renewing costs"), _("Keep it")
    lead = _("Renew first starts from it, in the currency of each property. What was kept there "
             "before is replaced, and stays in its history.")  # fmt: skip
    done = _("Kept.")

    def get_initial(self) -> dict[str, Any]:
        asked = self.request.GET
        typed = {name: asked[name] for name in KeepCostsForm.base_fields if name in asked}
        return {"fixed": 0, **typed}

    def get_back(self) -> str:
        return reverse("reports:renew_first")

    def get_crumbs(self) -> Crumbs:
        return _crumbs()


class RenewCostsDrop(VerbView[RenewalCosts]):
    """Keep nothing there any more."""

    verb = drop_renewal_costs
    takes = "costs"
    heading, button = _("Drop what renewing costs: %s"), _("Drop it")
    lead = _("A property without costs of its own takes those of all properties. Without either, "
             "its legs are not weighed.")  # fmt: skip
    done = _("Dropped.")

    def find(self) -> RenewalCosts:
        return find(costs_for(self.user, self.may_do), ref=self.kwargs["ref"])

    def get_named(self) -> object:
        return self.row.property or _("all that have none of their own")

    def get_place(self) -> Property | None:
        return self.row.property

    def get_back(self) -> str:
        return reverse("reports:renew_first")

    def get_crumbs(self) -> Crumbs:
        return _crumbs()
