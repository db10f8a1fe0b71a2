"""What a stopgap is made of, and the rules that fitting and correcting one share."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from sites.kernel.services.verb_days import refuse_ahead
from sites.kernel.services.verbs import UnableToAct
from sites.models import (
    OFF_CENTRAL_KINDS,
    Device,
    Property,
    Station,
    Stopgap,
    StopgapKind,
    counted_from,
)
from sites.stopgaps.engines.spells import Reason

TEMPORARY_KINDS = (StopgapKind.SURFACE_WIRE, StopgapKind.DOUBLED)


class UnableToFit(UnableToAct):
    """A stopgap that cannot be so."""


class UnableToFitBesideAnother(UnableToFit):
    """Another stopgap of the off kinds holds some of the days."""


@dataclass(frozen=True)
class StopgapFacts:
    """What is known of one stopgap. Days of fitting are a window; often only a year is known.

    `device` is one that exists; `new_device` names one to be made.
    """

    kind: str
    fitted: tuple[date, date] | None
    first_seen_on: date | None = None
    reason: str = Reason.NOT_KNOWN.value
    reason_given: str = ""
    device: Device | None = None
    new_device: str = ""
    battery_kind: str = ""
    disabled_in_central_on: date | None = None
    accepted_by_client_on: date | None = None
    agreed_until: date | None = None
    main_valve: str = ""
    removed_on: date | None = None
    end_reason: str = ""
    notes: str = ""

    @property
    def counted_from(self) -> date:
        """The last day that the fitting can have been."""
        return counted_from(self.fitted[1] if self.fitted else None, self.first_seen_on, None)

    @property
    def takes_off_central(self) -> bool:
        """Whether the kind takes a station off central control."""
        return self.kind in OFF_CENTRAL_KINDS


def refuse_what_cannot_be(facts: StopgapFacts, today: date) -> None:
    """Refuse facts that contradict each other or lack what their kind needs."""
    _refuse_days(facts, today)
    if facts.kind in TEMPORARY_KINDS and facts.accepted_by_client_on is None:
        raise UnableToFit(
            _(
                "A surface wire or a doubled station needs the day on which the client accepted "
                "it. Ask the client, then enter that day."
            ),
            field="accepted_by_client_on",
        )
    if facts.agreed_until and facts.reason != Reason.CLIENT.value:
        raise UnableToFit(
            _("A day 'agreed until' belongs to the client's choice. Choose that reason, or leave "
              "the day empty."),
            field="agreed_until",
        )  # fmt: skip
    if (facts.device or facts.new_device) and facts.kind != StopgapKind.BATTERY_TIMER:
        raise UnableToFit(
            _("Only a battery timer is a device. Choose that kind, or leave the device empty."),
            field="device",
        )


def _refuse_days(facts: StopgapFacts, today: date) -> None:
    if facts.fitted is None and facts.first_seen_on is None:
        raise UnableToFit(
            _("Since when? Enter the day it was fitted (a year will do), or the day first seen."),
            field="fitted",
        )
    earliest = facts.fitted[0] if facts.fitted else None
    refuse_ahead(earliest, today, field="fitted")
    for field in ("first_seen_on", "disabled_in_central_on", "accepted_by_client_on", "removed_on"):
        refuse_ahead(getattr(facts, field), today, field=field)
    if earliest and facts.first_seen_on and facts.first_seen_on < earliest:
        raise UnableToFit(
            _("This was seen before it was fitted. Correct either day."), field="first_seen_on"
        )
    if facts.removed_on is not None:
        refuse_removal_before_fitting(earliest, facts.first_seen_on, facts.removed_on)


def refuse_removal_before_fitting(
    earliest: date | None, seen: date | None, removed_on: date, *, field: str = "removed_on"
) -> None:
    """Refuse a day of removal that lies before the stopgap stood."""
    if earliest is not None and removed_on < earliest:
        raise UnableToFit(
            _("It was fitted on %(day)s at the earliest, after this day. Correct one of the two.")
            % {"day": earliest.isoformat()},
            field=field,
        )
    if seen is not None and removed_on < seen:
        raise UnableToFit(
            _("It was seen standing on %(day)s, after this day. Correct one of the two.")
            % {"day": seen.isoformat()},
            field=field,
        )


def refuse_stations(stations: Sequence[Station]) -> Property:
    """Refuse no stations, retired ones, and those of several properties; return the property."""
    if not stations:
        raise UnableToFit(_("Name at least one station."), field="stations")
    places = {station.controller.property_id for station in stations}
    if len(places) > 1:
        raise UnableToFit(
            _("These stations belong to several properties. Fit each property's own."),
            field="stations",
        )
    place = stations[0].controller.property
    for station in stations:
        if station.retired_on or station.controller.retired_on or place.retired_on:
            raise UnableToFit(_("%s is retired. Bring it back first.") % station, field="stations")
    return place


def refuse_beside_another(
    stations: Sequence[Station], facts: StopgapFacts, *, besides: int = 0
) -> None:
    """Refuse days on which another stopgap of the off kinds stands on one of the stations.

    Args:
        besides: the id of the stopgap that is being corrected.
    """
    if not facts.takes_off_central:
        return
    clashes = [
        other
        for other in Stopgap.objects.off_central()
        .filter(station__in=[station.pk for station in stations])
        .exclude(pk=besides)
        .select_related("station__controller")
        .order_by("station__controller__name", "station__number", "counted_from", "pk")
        if _share_a_day(facts, other)
    ]
    if clashes:
        raise UnableToFitBesideAnother(_clash(clashes), field="fitted")


def _share_a_day(facts: StopgapFacts, other: Stopgap) -> bool:
    start, end = facts.counted_from, facts.removed_on
    if end is not None and end <= start:
        return False
    if other.removed_on is not None and other.removed_on <= other.counted_from:
        return False
    return (other.removed_on is None or start < other.removed_on) and (
        end is None or other.counted_from < end
    )


def _clash(clashes: Sequence[Stopgap]) -> str:
    first = clashes[0]
    words = {
        "station": first.station,
        "kind": first.get_kind_display(),
        "since": first.counted_from.isoformat(),
        "until": first.removed_on.isoformat() if first.removed_on else "",
    }
    more = len({each.station_id for each in clashes}) - 1
    others = ngettext(
        " (So it is on %(n)s more station.)", " (So it is on %(n)s more stations.)", more
    ) % {"n": more}
    if first.removed_on is None:
        said = _(
            "%(station)s has had another stopgap since %(since)s: %(kind)s, still there. Say that "
            "this one was fitted instead of it, or end that one first."
        )
    else:
        said = _(
            "%(station)s had another stopgap from %(since)s to %(until)s: %(kind)s. Correct the "
            "days of one of the two."
        )
    return said % words + (others if more else "")
