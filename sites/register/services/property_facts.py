"""Verbs on the facts of a property, a controller and a station that carry no days of their own."""

import re
import zoneinfo
from collections.abc import Mapping
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.dated import put
from sites.kernel.services.verb_days import refuse_ahead, save_because
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Client, Controller, Property, Station, StationKind

_MONTH_DAY = re.compile(r"(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])")


class UnableToChangeProperty(UnableToAct):
    """Facts of a property that cannot be."""


class UnableToChangeController(UnableToAct):
    """Facts of a controller that cannot be."""


class UnableToChangeStation(UnableToAct):
    """Facts of a station that cannot be."""


@verb(
    name="change a property's facts",
    action=Action.EDIT_REGISTER,
    guard="a time zone that is known; both ends of a season or none; both temperatures of the "
    "ground or none, the warmest not below the coldest; records since a day that "
    "has come",
    undo="change them back, with the values that their history shows",
)
def change_property(*, place: Property, values: Mapping[str, Any], today: date) -> None:
    """Change address, time zone, units, kind, soil, season and the like."""
    zone = values.get("time_zone", place.time_zone)
    if zone not in zoneinfo.available_timezones():
        raise UnableToChangeProperty(_("This time zone is not known."), field="time_zone")
    refuse_ahead(values.get("records_since"), today, field="records_since")
    _refuse_season(values)
    _refuse_ground(values)
    put(place, values)
    place.save()


def _refuse_ground(values: Mapping[str, Any]) -> None:
    """Refuse one temperature of the ground without the other, or the two in the wrong order."""
    coldest, warmest = (values.get(f"ground_{name}_f") for name in ("coldest", "warmest"))
    if (coldest is None) != (warmest is None):
        missing = "ground_coldest_f" if coldest is None else "ground_warmest_f"
        raise UnableToChangeProperty(
            _("The ground needs both its temperatures, or none."), field=missing
        )
    if coldest is not None and warmest is not None and warmest < coldest:
        raise UnableToChangeProperty(
            _("The warmest lies below the coldest. Exchange the two."), field="ground_warmest_f"
        )


def _refuse_season(values: Mapping[str, Any]) -> None:
    ends = {name: values.get(name, "") for name in ("season_start", "season_end")}
    for name, day in ends.items():
        if day and not _MONTH_DAY.fullmatch(day):
            raise UnableToChangeProperty(
                _("Expected month and day. Write for example 03-15 for 15 March."), field=name
            )
    missing = [name for name, day in ends.items() if not day]
    if len(missing) == 1:
        raise UnableToChangeProperty(
            _("A season needs both its days. Leave both empty where it waters all year."),
            field=missing[0],
        )


@verb(
    name="set a property's warranty",
    action=Action.SET_AUTHORITY,
    guard="at least one day, or none where nothing is agreed",
    undo="set it again",
)
def set_warranty(*, place: Property, days: int | None) -> None:
    """Set the days within which a break near our own mend is ours to mend again."""
    if days is not None and days < 1:
        raise UnableToChangeProperty(
            _("Enter at least one day, or leave it empty where nothing is agreed."), field="days"
        )
    place.warranty_days = days
    place.save()


@verb(
    name="give a property to another client",
    action=Action.EDIT_REGISTER,
    guard="a name; another client than now; a reason",
    undo="give it back",
)
def change_client(*, place: Property, name: str, why: str) -> Client:
    """Let another client pay; a name that is new makes a new client."""
    plain = " ".join(name.split())
    if not plain:
        raise UnableToChangeProperty(_("Enter who pays from now on."), field="name")
    client = Client.objects.filter(name__iexact=plain).first()
    if client is not None and client.pk == place.client_id:
        raise UnableToChangeProperty(_("This client pays already."), field="name")
    place.client = client or Client.objects.create(name=plain)
    save_because(place, why)
    return place.client


@verb(
    name="change a controller's facts",
    action=Action.EDIT_REGISTER,
    guard="a name that no other controller of the property has",
    undo="change them back, with the values that their history shows",
)
def change_controller(*, controller: Controller, values: Mapping[str, object]) -> None:
    """Change name, wiring, output, notes. Whether central reaches it is another verb."""
    name = " ".join(str(values["name"]).split())
    others = controller.property.controllers.exclude(pk=controller.pk)
    if others.filter(name__iexact=name).exists():
        raise UnableToChangeController(
            _("This property has a controller of that name already."), field="name"
        )
    put(controller, {**values, "name": name})
    controller.save()


@verb(
    name="change a station's own facts",
    action=Action.EDIT_REGISTER,
    guard="it depends on a master valve or pump start of its property, in no circle; a station on "
    "which others depend stays one of these",
    undo="change them back, with the values that their history shows",
)
def change_station(*, station: Station, values: Mapping[str, Any]) -> None:
    """Change name, kind, what it depends on, coil, run length, notes."""
    upper: Station | None = values.get("depends_on", station.depends_on)
    if upper is not None:
        _refuse_dependence(station, upper)
    if values.get("kind", station.kind) == StationKind.VALVE:
        lower = list(station.dependants.filter(retired_on__isnull=True).order_by("number", "pk"))
        if lower:
            raise UnableToChangeStation(
                _("%s depend on it: it stays a master valve or pump start while they do.")
                % ", ".join(str(each) for each in lower[:5]),
                field="kind",
            )
    put(station, values)
    station.save()


def _refuse_dependence(station: Station, upper: Station) -> None:
    if upper.controller.property_id != station.controller.property_id:
        raise UnableToChangeStation(
            _("A station depends on one of its own property."), field="depends_on"
        )
    if upper.kind == StationKind.VALVE:
        raise UnableToChangeStation(
            _("%s is a plain valve. A station depends on a master valve or a pump start.") % upper,
            field="depends_on",
        )
    above: Station | None = upper
    seen: set[int] = set()
    while above is not None and above.pk not in seen:
        if above.pk == station.pk:
            raise UnableToChangeStation(
                _("That goes in a circle: %(upper)s depends on %(station)s itself.")
                % {"upper": upper, "station": station},
                field="depends_on",
            )
        seen.add(above.pk)
        above = above.depends_on
