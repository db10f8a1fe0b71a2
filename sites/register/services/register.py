"""Verbs that begin a register by hand: the first property, and a controller with stations."""

from datetime import date

from django.db import transaction

from sites.kernel.services.verbs import as_one_change
from sites.models import CentralState, Client, Controller, Property, Station


@transaction.atomic
def add_property(*, place: Property, client_name: str, known_client: Client | None) -> Property:
    """Keep a new property, making its client where the name is new."""
    place.client = known_client or Client.objects.create(name=client_name)
    place.save()
    return place


@as_one_change()
def add_controller(*, controller: Controller, stations: int, since: date | None) -> Controller:
    """Keep a new controller, how central control reaches it, and stations numbered from 1."""
    controller.save()
    CentralState.objects.create(
        controller=controller, state=controller.central, from_on=since, from_is_exact=True
    )
    for number in range(1, stations + 1):
        Station.objects.create(controller=controller, number=number)
    return controller
