"""Verbs on legs: the stretches of ground between two neighbouring points."""

from datetime import date

from django.db.models import Max, QuerySet
from django.utils.translation import gettext as _

from sites.ground.services.keeping import named, put
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import refuse_ahead, save_because
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Leg, Point, Property, Wire


class UnableToAddLeg(UnableToAct):
    """The ends do not make a leg of this property."""


class UnableToLabelLeg(UnableToAct):
    """The property has a leg of that label already."""


class UnableToRetireLeg(UnableToAct):
    """Wires still lie in the leg, or it is retired already."""


class UnableToBringBackLeg(UnableToAct):
    """The leg is in the ground, was split, or one of its ends is no more."""


@verb(
    name="add a leg",
    action=Action.CHANGE_GROUND,
    guard="two different points of the property that are not retired; the label is free",
    undo="retire the leg",
)
def add_leg(*, place: Property, start: Point, end: Point, values: dict[str, object]) -> Leg:
    """Add a leg between two points, under the next running number of these two."""
    leg = Leg(property=place, from_point=start, to_point=end, **values)
    _refuse_wrong_ends(place, start, end)
    refuse_taken_label(leg)
    leg.running_number = next_running_number(start, end)
    save_because(leg)
    return leg


@verb(
    name="change a leg",
    action=Action.CHANGE_GROUND,
    guard="the label is free; the length has a verb of its own",
    undo="change it again: the old values stand in its history",
)
def change_leg(*, leg: Leg, values: dict[str, object], why: str = "") -> Leg:
    """Change depth, cover, conduit, label or notes; a described leg counts as surveyed."""
    put(leg, {**values, "is_surveyed": True})
    refuse_taken_label(leg)
    save_because(leg, why)
    return leg


@verb(
    name="retire a leg",
    action=Action.CHANGE_GROUND,
    guard="no wire that is still in the ground lies in it",
    undo="bring the leg back",
)
def retire_leg(*, leg: Leg, on: date, today: date, why: str = "") -> Leg:
    """Say that nothing runs along a leg any more."""
    refuse_ahead(on, today, field="on")
    if leg.retired_on is not None:
        raise UnableToRetireLeg(_("It is retired already, since %s.") % leg.retired_on)
    wires = list(wires_in(leg))
    if wires:
        raise UnableToRetireLeg(
            _("These wires still lie in it: %s. Retire them, or change where they lie, first.")
            % named(wires)
        )
    leg.retired_on = on
    save_because(leg, why)
    return leg


@verb(
    name="bring back a leg",
    action=Action.CHANGE_GROUND,
    guard="it is retired, was not split, and both of its points are in use",
    undo="retire the leg",
)
def bring_back_leg(*, leg: Leg, why: str = "") -> Leg:
    """Take back that a leg was retired."""
    if leg.retired_on is None:
        raise UnableToBringBackLeg(_("It is not retired: there is nothing to bring back."))
    if leg.children.filter(retired_on__isnull=True).exists():
        raise UnableToBringBackLeg(_("It was split, and its parts are in use: join them instead."))
    if leg.split_from_id is not None and _is_whole_again(leg.split_from):
        raise UnableToBringBackLeg(
            _("It was a part of %s, which is whole again: split that leg instead.") % leg.split_from
        )
    gone = [point for point in (leg.from_point, leg.to_point) if point.retired_on is not None]
    if gone:
        raise UnableToBringBackLeg(
            _("These ends of it are retired: %s. Bring them back first.") % named(gone)
        )
    leg.retired_on = None
    save_because(leg, why)
    return leg


def wires_in(leg: Leg) -> QuerySet[Wire]:
    """Return the wires that lie in the leg and are still in the ground, by name."""
    return Wire.objects.filter(lies__leg=leg, retired_on__isnull=True).order_by("name", "pk")


def next_running_number(start: Point, end: Point) -> int:
    """Return the number under which the next leg between two points is kept."""
    both_ways = Leg.objects.filter(from_point__in=(start, end), to_point__in=(start, end))
    newest: int | None = both_ways.aggregate(newest=Max("running_number"))["newest"]
    return (newest or 0) + 1


def refuse_taken_label(leg: Leg) -> None:
    """Refuse a label that another leg of the property has.

    Raises:
        UnableToLabelLeg: with the leg that has it.
    """
    if not leg.label:
        return
    others = Leg.objects.filter(property=leg.property, label__iexact=leg.label)
    if others.exclude(pk=leg.pk).exists():
        raise UnableToLabelLeg(
            _("%(place)s has a leg %(label)s already. Choose another label, or leave it empty.")
            % {"place": leg.property, "label": leg.label},
            field="label",
        )


def _is_whole_again(leg: Leg | None) -> bool:
    return leg is not None and leg.retired_on is None


def _refuse_wrong_ends(place: Property, start: Point, end: Point) -> None:
    if start == end:
        raise UnableToAddLeg(
            _("A leg joins two different points. Choose another end."), field="end"
        )
    for field, point in (("start", start), ("end", end)):
        if point.property_id != place.pk or point.retired_on is not None:
            raise UnableToAddLeg(
                _("%s is not a point of this property that is in use. Choose another.") % point,
                field=field,
            )
