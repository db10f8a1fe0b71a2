"""How all that programs are told stands, for the page of health."""

from django.urls import reverse
from django.utils.translation import gettext as _

from faults.due.services.health import Sent
from reports.models import Delivery


def how_it_stands() -> Sent:
    """Return how many messages wait and how many were given up."""
    waiting = Delivery.objects.filter(sent_at=None, given_up_at=None, receiver__off_at=None)
    return Sent(
        name="programs told",
        heading=_("Programs that are told"),
        waiting=waiting.count(),
        given_up=Delivery.objects.filter(given_up_at__isnull=False).count(),
        address=reverse("reports:receivers"),
    )
