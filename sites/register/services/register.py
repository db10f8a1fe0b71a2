"""Verbs that begin a register by hand: the first property, and a controller with stations."""

from datetime import date

from django.db import transaction

from sites.models import Central, CentralState, Client, Controller, Property, Station
from sites.stopgaps.services.spells import rebuild_spells


@transaction.atomic
def add_property(*, place: Property, client_name: str, known_client: Client | None) -> Property:
    """Keep a new property, making its client where the name is new."""
    place.client = known_client or Client.objects.create(name=client_name)
    place.save()
    return place


@transaction.atomic
def add_controller(*, controller: Controller, stations: int, since: date | None) -> Controller:
    """Keep a new controller, how central control reaches it, and stations numbered from 1."""
    controller.save()
    CentralState.objects.create(
        controller=controller, state=controller.central, from_on=since, from_is_exact=True
    )
    added = [
        Station.objects.create(controller=controller, number=number)
        for number in range(1, stations + 1)
    ]
    if controller.central == Central.LINK_LOST:
        rebuild_spells(station.pk for station in added)
    return controller
