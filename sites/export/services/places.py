"""Rows of the sheets properties, contacts, controllers and climate."""

from collections.abc import Iterator, Sequence

from sites.export.services.sheets import Values, Wanted, copied
from sites.kernel.engines.roles import Action
from sites.load.services.sheets import climate, contacts, controllers, properties
from sites.load.services.sheets.controllers import OR_BEFORE
from sites.models import CentralState, ClimateRow, Contact, Controller, Property, Tariff


def property_rows(wanted: Wanted, places: Sequence[Property]) -> Iterator[Values]:
    """Yield each property with its client and, where they may be seen, its rates."""
    tariffs = {
        row.property_id: row
        for row in Tariff.objects.open().filter(property__in=places).order_by("pk")
    }
    for place in places:
        values = copied(properties.KIND, place)
        values |= {"client": place.client.name, "property": place.name or place.code}
        tariff = tariffs.get(place.pk)
        if tariff is not None and wanted.may(Action.SEE_RATES, place):
            values |= {name: getattr(tariff, name.replace(" ", "_")) for name in properties.TARIFF}
        yield values


def contact_rows(_wanted: Wanted, places: Sequence[Property]) -> Iterator[Values]:
    """Yield the contacts that still hold."""
    rows = Contact.objects.filter(property__in=places, ended_on__isnull=True)
    for contact in rows.select_related("property").order_by("pk"):
        values = copied(contacts.KIND, contact)
        values |= {"name": contact.name, "role": contact.role}
        yield {**values, "property code": contact.property.code}


def controller_rows(_wanted: Wanted, places: Sequence[Property]) -> Iterator[Values]:
    """Yield the controllers in care, and since when central control reaches them, or does not."""
    states = {
        row.controller_id: row
        for row in CentralState.objects.open()
        .filter(controller__property__in=places)
        .order_by("pk")
    }
    rows = Controller.objects.in_care().filter(property__in=places).select_related("property")
    for controller in rows.order_by("pk"):
        values = copied(controllers.KIND, controller)
        values |= {"property code": controller.property.code, "controller": controller.name}
        state = states.get(controller.pk)
        yield {**values, "central": controller.central, "since": _since(controller, state)}


def _since(controller: Controller, state: CentralState | None) -> str:
    if state is None or state.from_on is None or state.state != controller.central:
        return ""
    first = state.from_on.isoformat()
    return first if state.from_is_exact else f"{first}{OR_BEFORE}"


def climate_rows(_wanted: Wanted, places: Sequence[Property]) -> Iterator[Values]:
    """Yield the climate of these properties."""
    rows = ClimateRow.objects.filter(property__in=places).select_related("property")
    for row in rows.order_by("pk"):
        yield _climate(row, row.property.code if row.property else row.table)


def shared_climate_rows(wanted: Wanted) -> Iterator[Values]:
    """Yield the tables under a shared name, where the whole register is written."""
    if wanted.is_everything:
        for row in ClimateRow.objects.filter(property__isnull=True).order_by("pk"):
            yield _climate(row, row.table)


def _climate(row: ClimateRow, table: str) -> Values:
    return {**copied(climate.KIND, row), "property code": table, "month": _month(row)}


def _month(row: ClimateRow) -> str:
    if row.year is None:
        return str(row.month)
    month = f"{row.year:04d}-{row.month:02d}"
    return f"{month}-{row.day:02d}" if row.day else month
