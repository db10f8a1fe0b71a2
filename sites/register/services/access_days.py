"""Verbs on when a property may be entered, and the answer for a day."""

from collections.abc import Iterable, Sequence
from datetime import date
from itertools import pairwise

from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import save_because
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import AccessHours, Blackout, Property
from sites.register.engines.open_hours import Closed, Open, WeekHours, minutes_between, open_on


class UnableToSetAccess(UnableToAct):
    """Hours or days that cannot be kept so."""


@verb(
    name="set the hours in which a property may be entered",
    action=Action.EDIT_REGISTER,
    guard="hours of a day end after they begin and do not overlap",
    undo="set them as they were; the history shows them",
)
def set_access_hours(*, place: Property, hours: Sequence[WeekHours]) -> None:
    """Keep the weekly hours; none at all means that the property is open at any time."""
    _refuse_overlap(hours)
    wanted = {(each.weekday, each.opens_at, each.closes_at) for each in hours}
    for row in place.access_hours.order_by("weekday", "opens_at", "pk"):
        key = (row.weekday, row.opens_at, row.closes_at)
        if key in wanted:
            wanted.remove(key)
        else:
            row.delete()
    for weekday, opens_at, closes_at in sorted(wanted):
        AccessHours.objects.create(
            property=place, weekday=weekday, opens_at=opens_at, closes_at=closes_at
        )


@verb(
    name="close a property to work for some days",
    action=Action.EDIT_REGISTER,
    guard="it ends after it begins; why",
    undo="take back days on which a property is closed to work",
)
def add_blackout(*, place: Property, from_on: date, to_on: date, why: str) -> Blackout:
    """Say on which days nobody may work here; `to_on` is the first day on which one may again."""
    _refuse_blackout(from_on, to_on, why)
    return Blackout.objects.create(property=place, from_on=from_on, to_on=to_on, why=why.strip())


@verb(
    name="change days on which a property is closed to work",
    action=Action.EDIT_REGISTER,
    guard="it ends after it begins; why",
    undo="change them back, with the values that their history shows",
)
def change_blackout(*, blackout: Blackout, from_on: date, to_on: date, why: str) -> None:
    """Move, lengthen or shorten the days."""
    _refuse_blackout(from_on, to_on, why)
    blackout.from_on, blackout.to_on, blackout.why = from_on, to_on, why.strip()
    blackout.save()


@verb(
    name="take back days on which a property is closed to work",
    action=Action.EDIT_REGISTER,
    guard="they hold; why",
    undo="change the days, with the values that their history shows",
)
def take_back_blackout(*, blackout: Blackout, why: str) -> None:
    """Open the days again: they stay on the record, and hold on no day."""
    if blackout.to_on <= blackout.from_on:
        raise UnableToSetAccess(_("These days were taken back already."))
    blackout.to_on = blackout.from_on
    save_because(blackout, why)


class AccessBook:
    """The hours and closed days of many properties, read in two queries."""

    def __init__(self, hours: Iterable[AccessHours], blackouts: Iterable[Blackout]) -> None:
        self._hours: dict[int, list[WeekHours]] = {}
        self._closed: dict[int, list[Closed]] = {}
        for row in hours:
            kept = WeekHours(row.weekday, row.opens_at, row.closes_at)
            self._hours.setdefault(row.property_id, []).append(kept)
        for out in blackouts:
            closed = Closed(out.from_on, out.to_on, out.why)
            self._closed.setdefault(out.property_id, []).append(closed)

    @classmethod
    def of(cls, properties: Iterable[int]) -> "AccessBook":
        """Read what is kept of these properties."""
        keys = set(properties)
        return cls(
            AccessHours.objects.filter(property__in=keys).order_by("weekday", "opens_at", "pk"),
            Blackout.objects.filter(property__in=keys).order_by("from_on", "pk"),
        )

    def open_on(self, property_id: int, day: date) -> Open:
        """Return when a property may be entered on a day."""
        return open_on(day, self._hours.get(property_id, []), self._closed.get(property_id, []))


def _refuse_overlap(hours: Sequence[WeekHours]) -> None:
    in_order = sorted(hours, key=lambda each: (each.weekday, each.opens_at))
    for before, after in pairwise(in_order):
        is_same_day = before.weekday == after.weekday
        if is_same_day and minutes_between(after.opens_at, before.closes_at) > 0:
            raise UnableToSetAccess(
                _("Two stretches of one day overlap. Let the second begin after the first ends.")
            )


def _refuse_blackout(from_on: date, to_on: date, why: str) -> None:
    if to_on <= from_on:
        raise UnableToSetAccess(
            _("It ends before it begins. The last day is the one before people may work again."),
            field="to_on",
        )
    if not why.strip():
        raise UnableToSetAccess(_("Say in a few words why nobody may work then."), field="why")
