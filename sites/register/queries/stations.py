"""Reads of the register that more than one page uses."""

import zoneinfo
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import (
    Count,
    F,
    IntegerField,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
)
from django.db.models.functions import Coalesce
from django.utils import timezone

from sites.kernel.access import controllers_for, properties_for, properties_where, stations_for
from sites.kernel.engines.roles import Action
from sites.models import (
    Central,
    Controller,
    Leg,
    Point,
    Property,
    SpellPart,
    Station,
    StationFacts,
    StationKind,
    Stopgap,
    StopgapKind,
    User,
    Wire,
    WireKind,
)
from sites.models.station import StationQuerySet
from sites.models.stopgap import StopgapQuerySet

TO_PROPERTY = "station__controller__property"


def days_by_zone(at: datetime) -> dict[str, date]:
    """Return the day that it is in each time zone that a property has."""
    zones = Property.objects.order_by("time_zone").values_list("time_zone", flat=True).distinct()
    return {zone: timezone.localdate(at, zoneinfo.ZoneInfo(zone)) for zone in zones}


def latest_today(at: datetime) -> date:
    """Return the latest of the days that it is at the properties: the same for every viewer."""
    return max(days_by_zone(at).values(), default=at.date())


def off_central_now(user: User) -> QuerySet[SpellPart]:
    """Return the open part of each station that is off central control now."""
    return SpellPart.objects.open().filter(
        properties_where(user, Action.SEE_OFF_CENTRAL, TO_PROPERTY)
    )


def off_central_on(user: User, day: date) -> QuerySet[SpellPart]:
    """Return one part for each station that was off central control on `day`."""
    return SpellPart.objects.on(day).filter(
        properties_where(user, Action.SEE_OFF_CENTRAL, TO_PROPERTY)
    )


def off_central(user: User, day: date | None = None) -> QuerySet[SpellPart]:
    """Return one part for each station that is off central control now, or was on a past day."""
    return off_central_now(user) if day is None else off_central_on(user, day)


def first_day_off(user: User, place: Property | None = None) -> date | None:
    """Return the first day on which a station, of all or of one property, was off central."""
    parts = SpellPart.objects.filter(properties_where(user, Action.SEE_OFF_CENTRAL, TO_PROPERTY))
    if place is not None:
        parts = parts.filter(**{TO_PROPERTY: place})
    return parts.order_by("from_on").values_list("from_on", flat=True).first()


def count_by_reason(parts: QuerySet[SpellPart]) -> dict[str, int]:
    """Return how many stations each reason holds off; the sum is the number of parts."""
    rows = parts.order_by().values("reason").annotate(n=Count("pk"))
    return {row["reason"]: row["n"] for row in rows}


def in_the_ratio(user: User) -> QuerySet[Station]:
    """Return the stations that are meant to be under central control."""
    return stations_for(user, Action.SEE_OFF_CENTRAL).meant_for_central()


def link_not_known(user: User) -> QuerySet[Station]:
    """Return the stations of which nobody has said whether central control reaches them."""
    return in_the_ratio(user).filter(controller__central=Central.NOT_KNOWN)


def _count(rows: QuerySet[SpellPart] | QuerySet[Station], owner: str) -> Coalesce:
    counted = rows.order_by().values(owner).annotate(n=Count("pk")).values("n")
    return Coalesce(Subquery(counted, output_field=IntegerField()), Value(0))


def properties_listed(user: User) -> QuerySet[Property]:
    """Return properties in care with how many stations they have and how many are off."""
    stations = Station.objects.in_care().filter(controller__property=OuterRef("pk"))
    off = SpellPart.objects.open().filter(station__controller__property=OuterRef("pk"))
    return (
        properties_for(user)
        .in_care()
        .select_related("client")
        .annotate(
            station_total=_count(stations, "controller__property"),
            off_total=_count(off, "station__controller__property"),
        )
    )


def controllers_listed(user: User) -> QuerySet[Controller]:
    """Return controllers in care with how many stations they have and how many are off."""
    stations = Station.objects.in_care().filter(controller=OuterRef("pk"))
    off = SpellPart.objects.open().filter(station__controller=OuterRef("pk"))
    return (
        controllers_for(user)
        .in_care()
        .filter(property__retired_on__isnull=True)
        .select_related("property")
        .annotate(
            station_total=_count(stations, "controller"),
            off_total=_count(off, "station__controller"),
        )
    )


def stations_listed(user: User) -> QuerySet[Station]:
    """Return stations in care with the facts and the reason off, where there is one."""
    open_part = SpellPart.objects.open().filter(station=OuterRef("pk"))
    facts = StationFacts.objects.open().filter(station=OuterRef("pk"))
    return (
        stations_for(user)
        .in_care()
        .select_related("controller__property")
        .annotate(
            reason_off=Subquery(open_part.values("reason")[:1]),
            area_sqft=Subquery(facts.values("area_sqft")[:1]),
            flow_gpm=Subquery(facts.values("flow_gpm")[:1]),
        )
    )


def stopgaps_listed(user: User) -> StopgapQuerySet:
    """Return stopgaps, open and ended."""
    return Stopgap.objects.filter(
        properties_where(user, Action.SEE_OFF_CENTRAL, TO_PROPERTY)
    ).select_related("station__controller__property", "device")


def first_day_of(stopgaps: QuerySet[Stopgap]) -> date | None:
    """Return the first day from which one of these is counted."""
    days = stopgaps.order_by("counted_from").values_list("counted_from", flat=True)
    return days.first()


@dataclass(frozen=True)
class Control:
    """How one station is controlled now: what the grid's mark and the words stand for."""

    station: Station
    state: str
    reason: str = ""
    kind: str = ""

    @property
    def kind_word(self) -> str:
        """What stands in, in the user's language."""
        return str(StopgapKind(self.kind).label) if self.kind else ""


def control_of(controllers: Iterable[Controller]) -> dict[int, list[Control]]:
    """Return for each controller how its stations are controlled now, by number."""
    by_pk = {controller.pk: controller for controller in controllers}
    open_part = SpellPart.objects.open().filter(station=OuterRef("pk"))
    temporary = Stopgap.objects.open().filter(
        station=OuterRef("pk"), kind__in=["surface wire", "doubled"]
    )
    stations = (
        Station.objects.filter(controller__in=by_pk, retired_on__isnull=True)
        .annotate(
            reason_off=Subquery(open_part.values("reason")[:1]),
            kind_off=Subquery(open_part.values("stopgap__kind")[:1]),
            kind_temporary=Subquery(temporary.values("kind")[:1]),
        )
        .order_by("controller", "number", "pk")
    )
    result: dict[int, list[Control]] = {pk: [] for pk in by_pk}
    for station in stations:
        station.controller = by_pk[station.controller_id]
        result[station.controller_id].append(_control(station))
    return result


def _control(station: Station) -> Control:
    reason_off = getattr(station, "reason_off", None)
    if reason_off:
        return Control(station, "off", reason_off, getattr(station, "kind_off", "") or "")
    temporary = getattr(station, "kind_temporary", None)
    if temporary:
        return Control(station, "temporary", kind=temporary)
    central = station.controller.central
    if central == Central.NOT_MEANT:
        return Control(station, "outside")
    return Control(station, "linked" if central == Central.LINKED else "not known")


def legs_of(place: Property, *, most: int) -> list[Leg]:
    """Return a property's legs in the ground, up to `most`."""
    return list(
        place.legs.in_ground().select_related("from_point", "to_point").order_by("pk")[:most]
    )


def route_wire(station: Station) -> Wire | None:
    """Return the hot wire that serves the station now."""
    feed = station.feeds.open().select_related("wire").order_by("pk").first()
    return feed.wire if feed else None


def controller_point(station: Station, wire: Wire | None) -> Point | None:
    """Return the point at which the station's controller stands.

    It is the controller point that the wire's legs touch; a property has several.
    """
    if wire is None:
        return None
    touched = Q(legs_out__holds__wire=wire) | Q(legs_in__holds__wire=wire)
    return (
        Point.objects.filter(touched, property=station.controller.property, kind="controller")
        .order_by("pk")
        .first()
    )


def upper_stations(station: Station) -> QuerySet[Station]:
    """Return the stations of its property on which a station may depend."""
    return (
        Station.objects.in_care()
        .filter(
            controller__property=station.controller.property_id,
            kind__in=[StationKind.MASTER_VALVE, StationKind.PUMP_START],
        )
        .exclude(pk=station.pk)
        .select_related("controller")
        .order_by("controller__name", "number", "pk")
    )


def stations_of(place: Property) -> StationQuerySet:
    """Return the stations in care of a property, whose loader has checked the access."""
    return Station.objects.in_care().filter(controller__property=place)


def spares_by_controller(place: Property) -> dict[str, int]:
    """Return how many spare wires are left, by the controller on whose terminals they are."""
    spares = place.wires.filter(kind=WireKind.SPARE, retired_on__isnull=True)
    name = F("terminations__controller__name")
    rows = spares.order_by().values_list("terminations__controller__name")
    return dict(rows.annotate(n=Count("pk")).order_by(name.asc(nulls_last=True)))
