"""The demo's program that is told: one message accepted, one given up, others wait.

Its address is one that no name server knows (RFC 2606), so nothing ever leaves the demo.
"""

from datetime import datetime, timedelta

from reports.hooks.engines.retrying import MOST_TRIES
from reports.hooks.services.receivers import BY_EVENT
from reports.hooks.services.sending import PURPOSE
from reports.hooks.services.telling import tell_of_spells
from reports.models import Outcome, Receiver
from sites.models import SpellPart, User
from sites.people.services.sealing import seal


def make_demo_hooks(*, owner: User, at: datetime) -> None:
    """Set up a display that hears of the two stations that went off last, and of what comes."""
    display = Receiver.objects.create(
        user=owner,
        name="Display in the office",
        address="https://display.example/rejoin",
        kinds=" ".join(kind.value for kind in BY_EVENT),
        sealed_secret=seal("nobody listens", purpose=PURPOSE),
        made_at=at - timedelta(days=20),
    )
    newest = SpellPart.objects.open().order_by("-from_on", "pk")[:2]
    tell_of_spells(went_off=[part.station_id for part in newest])
    first, *second = display.deliveries.order_by("pk")
    earlier = at - timedelta(days=6)
    display.deliveries.filter(pk=first.pk).update(
        made_at=earlier,
        tries=1,
        tried_at=earlier,
        sent_at=earlier,
        outcome=Outcome.ACCEPTED,
        status=204,
    )
    display.deliveries.filter(pk__in=[row.pk for row in second]).update(
        made_at=earlier + timedelta(hours=2),
        tries=MOST_TRIES,
        tried_at=at - timedelta(days=3),
        given_up_at=at - timedelta(days=3),
        outcome=Outcome.STATUS,
        status=503,
        detail="Back after the storm",
    )
