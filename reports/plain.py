"""Off central control in words for somebody who does not know the trade's own."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date

from django.db.models import Count
from django.utils.translation import gettext_lazy as _

from faults.engines.stages import Stage
from reports.queries import off_central_rows
from sites.access import properties_for
from sites.engines.roles import Action
from sites.engines.spells import Reason
from sites.models import Property, SpellPart, StopgapKind, User
from sites.queries import in_the_ratio

MOST_ROWS = 300

WHY = {
    Reason.WIRE.value: _("a wire in the ground is broken"),
    Reason.VALVE.value: _("the valve itself needs repair"),
    Reason.CONTROLLER.value: _("the control box needs repair"),
    Reason.LINK_LOST.value: _("the control box cannot be reached from the central system"),
    Reason.CLIENT.value: _("you asked for it"),
    Reason.NOT_KNOWN.value: _("the cause is not known yet"),
}

MEANWHILE = {
    StopgapKind.BATTERY_TIMER.value: _(
        "a battery timer waters by a fixed schedule, whatever the weather"
    ),
    StopgapKind.BY_HAND.value: _("it is watered by hand"),
    StopgapKind.SHUT_OFF.value: _("it is shut off"),
    StopgapKind.HELD_OPEN.value: _("it is held open"),
    "": _("it goes on with its last schedule, whatever the weather"),
}

NEXT = {
    Stage.REPORTED.value: _("we know about it"),
    Stage.SCHEDULED.value: _("a visit is planned"),
    Stage.FOUND.value: _("the place is found; the repair is being agreed"),
    Stage.AGREED.value: _("the repair is agreed and will be done"),
    Stage.MENDED.value: _("it is repaired and will be tested"),
    Stage.PROVEN.value: _("it is tested and about to go back"),
    "": _("nobody is at work on it yet"),
}


@dataclass(frozen=True)
class PlainStation:
    """One station that does not run from the central system."""

    number: str
    name: str
    since: date
    is_exact: bool
    days: int
    why: str
    meanwhile: str
    next_step: str


@dataclass(frozen=True)
class PlainProperty:
    """One property: how many of its stations run as they should, and those that do not."""

    place: Property
    total: int
    stations: list[PlainStation]

    @property
    def running(self) -> int:
        """How many run from the central system."""
        return max(0, self.total - len(self.stations))


def plain_properties(user: User, *, today: date) -> list[PlainProperty]:
    """Return the user's properties, those with the most trouble first."""
    by_property: dict[int, list[PlainStation]] = defaultdict(list)
    rows = off_central_rows(user).order_by("spell__from_on", "pk")[:MOST_ROWS]
    for part in rows:
        by_property[part.station.controller.property_id].append(_plain(part, today))
    totals = dict(
        in_the_ratio(user).order_by().values_list("controller__property").annotate(n=Count("pk"))
    )
    places = properties_for(user, Action.SEE_OFF_CENTRAL).in_care().order_by("code", "pk")
    lines = [
        PlainProperty(place, totals.get(place.pk, 0), by_property[place.pk])
        for place in places[:MOST_ROWS]
    ]
    return sorted(lines, key=lambda line: (-len(line.stations), line.place.code))


def _plain(part: SpellPart, today: date) -> PlainStation:
    spell, station = part.spell, part.station
    return PlainStation(
        number=str(station),
        name=station.name,
        since=spell.from_on,
        is_exact=spell.from_is_exact,
        days=max(0, (today - spell.from_on).days),
        why=str(WHY[part.reason]),
        meanwhile=str(MEANWHILE.get(part.stopgap.kind if part.stopgap else "", "")),
        next_step=str(NEXT.get(getattr(part, "fault_stage", None) or "", "")),
    )
