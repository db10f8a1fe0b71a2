"""Find what people name: stations by controller and number, the next key of a property."""

from collections.abc import Iterator
from itertools import islice

from django.db.models import Q
from django.utils.translation import gettext as _

from faults.cases.engines.naming import NotUnderstood, StationName, key_after, named_stations
from faults.models import Fault
from sites.kernel.services.verbs import UnableToAct
from sites.models import Property, Station

MOST_OFFERED = 6
# So many keys of other properties are passed over before a doubled one is taken.
MOST_PASSED_OVER = 500
FEW_AHEAD = 20


class UnableToFindStation(UnableToAct):
    """The text names no station of the property, or more than one."""

    def __init__(self, message: str) -> None:
        super().__init__(message, field="stations")


def find_stations(place: Property, text: str) -> list[Station]:
    """Return the stations in care that a text names, such as "B:7, 9" or "front lawn".

    Raises:
        UnableToFindStation: with what is there instead.
    """
    try:
        names = named_stations(text)
    except NotUnderstood as problem:
        raise UnableToFindStation(
            _("“%s” is not a range of stations. Write the lower number first, such as B:7-9.")
            % problem.piece
        ) from None
    if not names:
        raise UnableToFindStation(
            _("Name at least one station, such as B:7. Several: B:7, 9, 12-14.")
        )
    return list(dict.fromkeys(_find_one(place, name) for name in names))


def _find_one(place: Property, name: StationName | str) -> Station:
    rows = Station.objects.in_care().filter(controller__property=place)
    for condition in _conditions(name):
        found = list(
            rows.filter(condition)
            .select_related("controller")
            .order_by("controller__name", "number", "pk")[: MOST_OFFERED + 1]
        )
        if len(found) == 1:
            found[0].controller.property = place
            return found[0]
        if found:
            raise UnableToFindStation(_which(name, found))
    raise UnableToFindStation(
        _("%(place)s has no station “%(name)s”. Write controller:number, such as B:7.")
        % {"place": place, "name": name}
    )


def _conditions(name: StationName | str) -> Iterator[Q]:
    if isinstance(name, str):
        yield Q(name__iexact=name)
        yield Q(name__icontains=name)
    elif name.controller:
        yield Q(controller__name__iexact=name.controller, number=name.number)
    else:
        yield Q(number=name.number)


def _which(name: StationName | str, found: list[Station]) -> str:
    offered = ", ".join(str(station) for station in found[:MOST_OFFERED])
    return _("“%(name)s” can be %(offered)s. Write which, as controller:number.") % {
        "name": name,
        "offered": offered + (" …" if len(found) > MOST_OFFERED else ""),
    }


def next_key(place: Property) -> str:
    """Return the key that continues the property's highest, such as "F-0367".

    A key that another property uses already is passed over, because people name a fault by
    its key alone.
    """
    own = Fault.objects.filter(property=place).exclude(key="").values_list("key", flat=True)
    first = key_after(own)
    ahead = _keys_from(first)
    # Most often the first is free, and a question about hundreds takes the longest of a report.
    for most in (FEW_AHEAD, MOST_PASSED_OVER - FEW_AHEAD):
        keys = list(islice(ahead, most))
        taken = set(Fault.objects.filter(key__in=keys).values_list("key", flat=True))
        if free := [key for key in keys if key not in taken]:
            return free[0]
    return first


def _keys_from(first: str) -> Iterator[str]:
    key = first
    for _step in range(MOST_PASSED_OVER):
        yield key
        key = key_after([key])
