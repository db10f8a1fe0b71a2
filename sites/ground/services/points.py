"""Verbs on points: the places where wires can be reached."""

from datetime import date

from django.utils.translation import gettext as _

from sites.ground.services.keeping import named, put
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import refuse_ahead, save_because
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Leg, Point, Property


class UnableToNamePoint(UnableToAct):
    """The property has a point of that name already."""


class UnableToPlacePoint(UnableToAct):
    """A position needs both coordinates, on the globe."""


class UnableToRetirePoint(UnableToAct):
    """Something still stands at the point."""


class UnableToBringBackPoint(UnableToAct):
    """The point was not retired."""


@verb(
    name="add a point",
    action=Action.CHANGE_GROUND,
    guard="the name is free on the property; a position has latitude and longitude",
    undo="retire the point",
)
def add_point(*, place: Property, values: dict[str, object]) -> Point:
    """Add a point that was seen on site: it counts as surveyed."""
    point = Point(property=place, **values)
    _refuse_taken_name(point)
    _refuse_half_position(point.latitude, point.longitude)
    save_because(point)
    return point


@verb(
    name="change a point",
    action=Action.CHANGE_GROUND,
    guard="the name is free on the property",
    undo="change it again: the old values stand in its history",
)
def change_point(*, point: Point, values: dict[str, object], why: str = "") -> Point:
    """Change what is known of a point; a described point counts as surveyed."""
    put(point, {**values, "is_surveyed": True})
    _refuse_taken_name(point)
    save_because(point, why)
    return point


@verb(
    name="move a point",
    action=Action.CHANGE_GROUND,
    guard="latitude and longitude together, on the globe",
    undo="move it back: the old position stands in its history",
)
def move_point(
    *,
    point: Point,
    latitude: float | None,
    longitude: float | None,
    accuracy_ft: float | None,
    why: str = "",
) -> Point:
    """Correct where a point stands. Empty coordinates take a wrong position away."""
    _refuse_half_position(latitude, longitude)
    position = {"latitude": latitude, "longitude": longitude}
    put(point, {**position, "accuracy_ft": accuracy_ft if latitude is not None else None})
    save_because(point, why)
    return point


@verb(
    name="retire a point",
    action=Action.CHANGE_GROUND,
    guard="no leg in the ground ends here and no station in care has its valve here",
    undo="bring the point back",
)
def retire_point(*, point: Point, on: date, today: date, why: str = "") -> Point:
    """Retire a point: it is gone, or can never be reached again."""
    refuse_ahead(on, today, field="on")
    if point.retired_on is not None:
        raise UnableToRetirePoint(_("It is retired already, since %s.") % point.retired_on)
    _refuse_in_use(point)
    point.retired_on = on
    save_because(point, why)
    return point


@verb(
    name="bring back a point",
    action=Action.CHANGE_GROUND,
    guard="it is retired",
    undo="retire the point",
)
def bring_back_point(*, point: Point, why: str = "") -> Point:
    """Take back that a point was retired."""
    if point.retired_on is None:
        raise UnableToBringBackPoint(_("It is not retired: there is nothing to bring back."))
    point.retired_on = None
    save_because(point, why)
    return point


def _refuse_taken_name(point: Point) -> None:
    others = Point.objects.filter(property=point.property, name__iexact=point.name)
    held = others.exclude(pk=point.pk).first()
    if held is not None:
        where = _(" It is retired: bring it back instead.") if held.retired_on else ""
        raise UnableToNamePoint(
            _("%(place)s has a point %(name)s already. Choose another name.%(where)s")
            % {"place": point.property, "name": held.name, "where": where},
            field="name",
        )


def _refuse_half_position(latitude: float | None, longitude: float | None) -> None:
    if (latitude is None) != (longitude is None):
        raise UnableToPlacePoint(
            _("A position needs latitude and longitude. Fill in both, or neither."),
            field="latitude" if latitude is None else "longitude",
        )
    if latitude is not None and not -90 <= latitude <= 90:
        raise UnableToPlacePoint(_("A latitude lies between -90 and 90."), field="latitude")
    if longitude is not None and not -180 <= longitude <= 180:
        raise UnableToPlacePoint(_("A longitude lies between -180 and 180."), field="longitude")


def _refuse_in_use(point: Point) -> None:
    legs = list(
        Leg.objects.in_ground()
        .at(point)
        .order_by("label", "pk")
        .select_related("from_point", "to_point")
    )
    if legs:
        raise UnableToRetirePoint(
            _("These legs still end here: %s. Retire them first, or make them whole again.")
            % named(legs)
        )
    stations = list(point.stations.in_care().select_related("controller"))
    if stations:
        raise UnableToRetirePoint(
            _("These stations still have their valve here: %s. Change their valve point first.")
            % named(stations)
        )
