"""What the views of verbs on faults share: the way back, the crumbs, and the pages' base."""

from typing import TypeVar

from django.db.models import Model
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from faults.access import faults_for
from faults.models import Fault
from sites.kernel.access import find
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_help import Crumbs, PropertyView, property_crumbs
from sites.kernel.views.verb_views import VerbView
from sites.models import Property, User

Row = TypeVar("Row")


def fault_url(fault: Fault) -> str:
    """Return the address of a fault's page."""
    return reverse("faults:fault", args=[fault.ref])


def the_fault(user: User, action: Action, ref: str) -> Fault:
    """Return the fault on which the user has the action, or raise Http404."""
    return find(faults_for(user, action).select_related("property"), ref=ref)


def crumbs_of(fault: Fault) -> Crumbs:
    """Return the way from all faults to this one."""
    place = fault.property
    return [
        (reverse("faults:faults"), _("Faults")),
        (reverse("reports:property", args=[place.ref]), place.code),
        (fault_url(fault), str(fault)),
    ]


def crumbs_about(place: Property, fault: Fault | None) -> Crumbs:
    """Return the way to a fault, or to the property of what is about none."""
    return crumbs_of(fault) if fault else property_crumbs(place)


class OfFaultView(VerbView[Row]):
    """A verb on something of a fault; the page leads back to the fault."""

    @property
    def fault(self) -> Fault:
        """The fault."""
        raise NotImplementedError

    def get_named(self) -> object:
        return self.fault

    def get_place(self) -> Property:
        return self.fault.property

    def get_back(self) -> str:
        return fault_url(self.fault)

    def get_crumbs(self) -> Crumbs:
        return crumbs_of(self.fault)


class FaultView(OfFaultView[Fault]):
    """A verb on a fault."""

    takes = "fault"

    @property
    def fault(self) -> Fault:
        """The fault itself."""
        return self.row

    def find(self) -> Fault:
        return the_fault(self.user, self.may_do, self.kwargs["ref"])


class PlaceOrFaultView(PropertyView):
    """A verb on a property, which may be about one fault of it."""

    fault: Fault | None = None

    def get_named(self) -> object:
        return self.fault or self.row

    def get_watched(self) -> list[Model]:
        return []

    def get_crumbs(self) -> Crumbs:
        return crumbs_about(self.row, self.fault)

    def arguments(self, data: dict[str, object]) -> dict[str, object]:
        return {**super().arguments(data), "fault": self.fault}


class AboutFaultMixin(PlaceOrFaultView):
    """The same, about the fault that the address names; the page leads back to the fault."""

    fault: Fault

    def find(self) -> Property:
        self.fault = the_fault(self.user, self.may_do, self.kwargs["ref"])
        return self.fault.property

    def get_back(self) -> str:
        return fault_url(self.fault)
