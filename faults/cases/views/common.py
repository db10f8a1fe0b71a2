"""What the views of verbs on faults share: today at the property, the way back, the crumbs."""

from django.http import HttpRequest, QueryDict
from django.urls import reverse
from django.utils.translation import gettext as _

from faults.models import Fault
from sites.models import Property
from sites.models import today_at as today_at


def posted(request: HttpRequest) -> QueryDict | None:
    """Return what was sent, an empty form too, or None where the page was only opened."""
    return request.POST if request.method == "POST" else None


def fault_url(fault: Fault) -> str:
    """Return the address of a fault's page."""
    return reverse("faults:fault", args=[fault.ref])


def crumbs_of(fault: Fault) -> list[tuple[str, str]]:
    """Return the way from all faults to this one."""
    place = fault.property
    return [
        (reverse("faults:faults"), _("Faults")),
        (reverse("reports:property", args=[place.ref]), place.code),
        (fault_url(fault), str(fault)),
    ]


def property_crumbs(place: Property) -> list[tuple[str, str]]:
    """Return the way from all properties to this one."""
    return [
        (reverse("sites:properties"), _("Properties")),
        (reverse("reports:property", args=[place.ref]), place.code),
    ]
