"""Off central control in words for clients who do not know the trade's own."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Count
from django.utils.translation import gettext_lazy as _

from faults.waits.engines.waits import WaitsOn
from reports.off_central.queries import off_central_rows
from sites.kernel.access import properties_for
from sites.kernel.engines.roles import Action
from sites.models import Property, SpellPart, StopgapKind, User, today_at
from sites.register.queries.stations import in_the_ratio
from sites.stopgaps.engines.spells import Reason

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

# What a station waits on, said to the client: it never needs to know of jobs or crews.
NEXT = {
    WaitsOn.REPORT.value: _("nobody is at work on it yet"),
    WaitsOn.LINK.value: _(
        "waiting for the person who runs the central system to reach the control box"
    ),
    WaitsOn.CLIENTS_CHOICE.value: _("it stays so until you tell us otherwise"),
    WaitsOn.VISIT.value: _("we know about it and will plan a visit"),
    WaitsOn.VISIT_DAY.value: _("a visit is planned"),
    WaitsOn.VISIT_RESULT.value: _("we are looking for the place"),
    WaitsOn.ASK.value: _("we will ask you about the repair"),
    WaitsOn.AGREE.value: _("you said yes; we are preparing the repair"),
    WaitsOn.ANSWER.value: _("waiting for your answer"),
    WaitsOn.REFUSED.value: _("you said no; we will suggest another way"),
    WaitsOn.NOTICE.value: _("agreed; we will have cables and pipes nearby marked first"),
    WaitsOn.NOTICE_CLEAR.value: _("agreed; waiting until cables and pipes nearby are marked"),
    WaitsOn.DIG.value: _("agreed; we will plan the repair"),
    WaitsOn.DIG_DAY.value: _("the repair is planned"),
    WaitsOn.MEND_RESULT.value: _("the repair is under way"),
    WaitsOn.WEATHER.value: _("waiting for the weather"),
    WaitsOn.PARTS.value: _("waiting for parts"),
    WaitsOn.ACCESS.value: _("waiting until you let us in"),
    WaitsOn.PROOF.value: _("it is repaired and will be tested"),
    WaitsOn.ENABLE.value: _(
        "tested; waiting for the person who runs the central system to switch it on"
    ),
    WaitsOn.RETURN.value: _("it is tested and about to go back"),
    WaitsOn.AFTER_RETURN.value: _("repaired; we will take away what stands in"),
    WaitsOn.GIVEN_UP.value: _("the place was not found; we will suggest another way"),
    WaitsOn.BRING_HOME.value: _(
        "its wire was measured and is sound; it will go back without a dig"
    ),
}


# Here the client can move things on: the page says since when.
ASKED_OF_CLIENT = {WaitsOn.ANSWER.value, WaitsOn.ACCESS.value}


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
    asked_since: date | None = None


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


def plain_properties(user: User, *, at: datetime) -> list[PlainProperty]:
    """Return the user's properties, those with the most trouble first."""
    by_property: dict[int, list[PlainStation]] = defaultdict(list)
    rows = off_central_rows(user).order_by("spell__from_on", "pk")[:MOST_ROWS]
    for part in rows:
        by_property[part.station.controller.property_id].append(
            _plain(part, today_at(part.station.controller.property, at))
        )
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
    waits_on = getattr(part, "waits_on", None) or ""
    return PlainStation(
        number=str(station),
        name=station.name,
        since=spell.from_on,
        is_exact=spell.from_is_exact,
        days=max(0, (today - spell.from_on).days),
        why=str(WHY[part.reason]),
        meanwhile=str(MEANWHILE.get(part.stopgap.kind if part.stopgap else "", "")),
        next_step=str(NEXT.get(waits_on, "")),
        asked_since=getattr(part, "wait_since", None) if waits_on in ASKED_OF_CLIENT else None,
    )
