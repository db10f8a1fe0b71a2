"""Verbs that retire a station, a controller or a property from a day, and bring it back.

Nothing with history is deleted. What lies above the register (open faults) is checked through
`ask_before_retiring`, because this app cannot see it.
"""

from collections.abc import Callable, Iterable, Sequence
from datetime import date

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import refuse_ahead, save_because
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Controller, Property, Station, Stopgap

# Given the stations that would go, returns why they cannot, in words, or nothing.
Check = Callable[[Sequence[int]], str]
_checks: list[Check] = []


class UnableToRetire(UnableToAct):
    """Something still needs what would go."""


class UnableToBringBack(UnableToAct):
    """It cannot come back so."""


def ask_before_retiring(check: Check) -> None:
    """Register an upper app's check that blocks a retirement; called in order of registering."""
    if check not in _checks:
        _checks.append(check)


@verb(
    name="retire a station",
    action=Action.EDIT_REGISTER,
    guard="a reason; a day that has come, with no stopgap fitted after it; nothing in care depends "
    "on it; no open fault",
    undo="bring a station back",
)
def retire_station(*, station: Station, on: date, why: str, today: date) -> None:
    """Take a station out of care from a day on; its spells end there."""
    lower = station.dependants.filter(retired_on__isnull=True).order_by("number", "pk")
    if names := ", ".join(str(each) for each in lower[:5]):
        raise UnableToRetire(
            _("%s depend on it. Let them depend on another one, or on none, first.") % names
        )
    _retire(station, Station.objects.filter(pk=station.pk), on, why, today)


@verb(
    name="retire a controller",
    action=Action.EDIT_REGISTER,
    guard="a reason; a day that has come, with no stopgap fitted after it; no open fault",
    undo="bring a controller back",
)
def retire_controller(*, controller: Controller, on: date, why: str, today: date) -> None:
    """Take a controller and its stations out of care from a day on."""
    _retire(controller, Station.objects.filter(controller=controller), on, why, today)


@verb(
    name="retire a property",
    action=Action.EDIT_REGISTER,
    guard="a reason; a day that has come, with no stopgap fitted after it; no open fault",
    undo="bring a property back",
)
def retire_property(*, place: Property, on: date, why: str, today: date) -> None:
    """Take a property with all that is on it out of care from a day on."""
    _retire(place, Station.objects.filter(controller__property=place), on, why, today)


@verb(
    name="bring a station back",
    action=Action.EDIT_REGISTER,
    guard="it is retired, its controller is not, and its number is free",
    undo="retire a station",
)
def bring_station_back(*, station: Station, why: str) -> None:
    """Take a station into care again, as if it had never gone."""
    _refuse_in_care(station)
    if station.controller.retired_on or station.controller.property.retired_on:
        raise UnableToBringBack(_("Its controller or property is retired: bring that back first."))
    taken = station.controller.stations.filter(number=station.number, retired_on__isnull=True)
    if other := taken.first():
        raise UnableToBringBack(
            _("Number %(number)s belongs to %(name)s now. Renumber that one first.")
            % {"number": station.number, "name": other.name or other}
        )
    _bring_back(station, why)


@verb(
    name="bring a controller back",
    action=Action.EDIT_REGISTER,
    guard="it is retired, and its property is not",
    undo="retire a controller",
)
def bring_controller_back(*, controller: Controller, why: str) -> None:
    """Take a controller into care again; stations that were retired by themselves stay so."""
    _refuse_in_care(controller)
    if controller.property.retired_on:
        raise UnableToBringBack(_("Its property is retired: bring that back first."))
    _bring_back(controller, why)


@verb(
    name="bring a property back",
    action=Action.EDIT_REGISTER,
    guard="it is retired",
    undo="retire a property",
)
def bring_property_back(*, place: Property, why: str) -> None:
    """Take a property into care again."""
    _refuse_in_care(place)
    _bring_back(place, why)


def stations_of(place: Property) -> QuerySet[Station]:
    """Return all stations of a property, retired ones too."""
    return Station.objects.filter(controller__property=place)


def stopgaps_left_on(stations: Iterable[int] | QuerySet[Station]) -> int:
    """Return how many stopgaps still stand on these stations: they have to be fetched."""
    return Stopgap.objects.open().filter(station__in=stations).count()


def _retire(
    row: Station | Controller | Property,
    stations: QuerySet[Station],
    on: date,
    why: str,
    today: date,
) -> None:
    refuse_ahead(on, today, field="on")
    if row.retired_on is not None:
        raise UnableToRetire(_("Retired on %s already.") % row.retired_on.isoformat())
    if not why.strip():
        raise UnableToRetire(_("Say in a few words why it is retired."), field="why")
    late = Stopgap.objects.filter(station__in=stations, counted_from__gt=on)
    if stopgap := late.select_related("station__controller").order_by("-counted_from").first():
        raise UnableToRetire(
            _("A stopgap was fitted on %(station)s on %(day)s, after this day. Give a later day.")
            % {"station": stopgap.station, "day": stopgap.counted_from.isoformat()},
            field="on",
        )
    pks = list(stations.values_list("pk", flat=True))
    for check in _checks:
        if words := check(pks):
            raise UnableToRetire(words)
    row.retired_on = on
    save_because(row, f"retired: {why.strip()}")


def _refuse_in_care(row: Station | Controller | Property) -> None:
    if row.retired_on is None:
        raise UnableToBringBack(_("It is in care: nothing to bring back."))


def _bring_back(row: Station | Controller | Property, why: str) -> None:
    row.retired_on = None
    save_because(row, why)
