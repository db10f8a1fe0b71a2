"""Rows of the sheets properties, contacts, controllers and climate."""

from collections.abc import Iterable, Iterator, Sequence

from sites.export.services.sheets import Records, Wanted
from sites.kernel.engines.roles import Action
from sites.models import CentralState, ClimateRow, Contact, Controller, Property, Tariff


def property_rows(wanted: Wanted, places: Sequence[Property]) -> Iterator[Records]:
    """Yield each property with, where they may be seen, its rates."""
    open_ones = Tariff.objects.open().filter(property__in=places).order_by("pk")
    tariffs = {row.property_id: row for row in open_ones}
    for place in places:
        yield place, tariffs.get(place.pk) if wanted.may(Action.SEE_RATES, place) else None


def contact_rows(_wanted: Wanted, places: Sequence[Property]) -> Iterable[Records]:
    """Return the contacts that still hold."""
    rows = Contact.objects.filter(property__in=places, ended_on__isnull=True)
    return zip(rows.select_related("property").order_by("pk"))


def controller_rows(_wanted: Wanted, places: Sequence[Property]) -> Iterator[Records]:
    """Yield the controllers in care, each with the state of its link."""
    now = CentralState.objects.open().filter(controller__property__in=places).order_by("pk")
    states = {row.controller_id: row for row in now}
    rows = Controller.objects.in_care().filter(property__in=places).select_related("property")
    for controller in rows.order_by("pk"):
        yield controller, states.get(controller.pk)


def climate_rows(_wanted: Wanted, places: Sequence[Property]) -> Iterable[Records]:
    """Return the climate of these properties."""
    rows = ClimateRow.objects.filter(property__in=places).select_related("property")
    return zip(rows.order_by("pk"))


def shared_climate_rows(wanted: Wanted) -> Iterable[Records]:
    """Return the tables under a shared name, where the whole register is written."""
    rows = ClimateRow.objects.filter(property__isnull=True).order_by("pk")
    return zip(rows) if wanted.is_everything else ()
