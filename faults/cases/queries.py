"""Reads of faults."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.conf import settings
from django.db.models import (
    Count,
    IntegerField,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
)
from django.db.models.functions import Coalesce

from faults.access import faults_for
from faults.cases.engines.stages import CLOSED, Stage
from faults.cases.engines.warranty import (
    Mend,
    feet_from_first_point,
    nearest_own_mend,
    warranty_end,
)
from faults.models import (
    Assignment,
    Authority,
    Break,
    Fault,
    FaultPhoto,
    FaultStation,
    Proof,
    StageMove,
)
from sites.models import Contact, ContactRole, Feed, Leg, Property, Station, User

# The legs near the fault come first; a list of every leg of a large property helps nobody.
MOST_OTHER_LEGS = 1000
MOST_STATIONS_OFFERED = 300


def faults_listed(user: User) -> QuerySet[Fault]:
    """Return faults with how many stations each stops, and the cause of its first break."""
    stations = (
        FaultStation.objects.filter(fault=OuterRef("pk"))
        .order_by()
        .values("fault")
        .annotate(n=Count("pk"))
        .values("n")
    )
    first = Break.objects.filter(fault=OuterRef("pk")).order_by("running_number")
    return (
        faults_for(user)
        .select_related("property")
        .annotate(
            station_total=Coalesce(Subquery(stations, output_field=IntegerField()), 0),
            first_cause=Subquery(first.values("cause")[:1]),
        )
    )


def stations_of(fault: Fault) -> list[FaultStation]:
    """Return the fault's stations by controller and number."""
    return list(
        fault.stations.select_related("station__controller").order_by(
            "station__controller__name", "station__number", "pk"
        )
    )


def breaks_of(fault: Fault) -> list[Break]:
    """Return the fault's breaks with their wires, in order of their numbers."""
    return list(
        fault.breaks.select_related("leg__from_point", "leg__to_point", "from_point")
        .prefetch_related("wires")
        .order_by("running_number")
    )


@dataclass(frozen=True)
class MoveLine:
    """Stations of a fault that moved alike on one day."""

    on: date | None
    words: str
    why: str
    by: str
    stations: list[str]


def moves_of(fault: Fault, *, most: int = 400) -> list[MoveLine]:
    """Return the moves of the fault's stations, newest first, equal ones in one line."""
    rows = (
        StageMove.objects.filter(fault_station__fault=fault)
        .select_related("fault_station__station__controller", "by")
        .order_by("-on", "-moved_at", "fault_station__station__number", "pk")[:most]
    )
    lines: dict[tuple[date | None, str, str, str], list[str]] = {}
    for row in rows:
        words = row.get_to_stage_display()
        if row.from_stage:
            words = f"{row.get_from_stage_display()} → {words}"
        key = (row.on, words, row.why, str(row.by or ""))
        lines.setdefault(key, []).append(str(row.fault_station.station))
    return [MoveLine(*key, stations) for key, stations in lines.items()]


def wires_of_stations(fault: Fault) -> set[int]:
    """Return the keys of the wires that serve the fault's stations now."""
    feeds = Feed.objects.open().filter(station__in=fault.stations.values("station"))
    return set(feeds.values_list("wire", flat=True))


def legs_to_choose(fault: Fault) -> tuple[list[Leg], list[Leg]]:
    """Return the legs that hold the wires of the fault's stations, and the property's others."""
    near_by = Q(holds__wire__in=wires_of_stations(fault))
    rows = fault.property.legs.select_related("from_point", "to_point").order_by("label", "pk")
    near = list(rows.in_ground().filter(near_by).distinct())
    struck = Q(retired_on__isnull=True) | Q(pk__in=fault.breaks.values("leg"))
    others = rows.filter(struck).exclude(pk__in=[leg.pk for leg in near])
    return near, list(others[:MOST_OTHER_LEGS])


def stations_offered(place: Property) -> list[Station]:
    """Return a property's stations to choose from by typing; a large one offers its first."""
    rows = Station.objects.in_care().filter(controller__property=place).select_related("controller")
    return list(rows.order_by("controller__name", "number", "pk")[:MOST_STATIONS_OFFERED])


def photos_of(fault: Fault) -> list[FaultPhoto]:
    """Return the fault's photos, hidden ones too, newest first."""
    rows = fault.photos.select_related("added_by", "of_break__leg__from_point")
    return list(rows.select_related("of_break__leg__to_point").order_by("-added_at", "-pk")[:120])


def authorities_of(fault: Fault) -> list[Authority]:
    """Return who allowed what, newest first, with the stations that each yes is for."""
    rows = fault.authorities.select_related("entered_by")
    return list(
        rows.prefetch_related("stations__station__controller").order_by("-given_on", "-pk")[:50]
    )


def proofs_of(fault: Fault) -> list[Proof]:
    """Return what was measured before stations counted as proven, newest first."""
    rows = Proof.objects.filter(fault_station__fault=fault).select_related(
        "fault_station__station__controller", "volts", "ohms", "insulation", "proven_by"
    )
    return list(rows.order_by("-on", "fault_station__station__number", "-pk")[:400])


def assignments_of(fault: Fault) -> list[Assignment]:
    """Return who is assigned, and who was, the newest first."""
    return list(fault.assignments.select_related("user").order_by("-from_on", "-pk")[:50])


@dataclass(frozen=True)
class Claim:
    """A new break at a place that we mended before, under our own warranty."""

    new: Break
    earlier: Break
    until: date


def claims_of(breaks: Sequence[Break], place: Property) -> list[Claim]:
    """Return the breaks that lie within some feet of an earlier mend under warranty.

    How near is the setting WARRANTY_NEAR_FT, which is common practice and has no source.
    """
    legs = {one.leg_id for one in breaks if one.leg_id and one.feet_along is not None}
    if not legs:
        return []
    rows = Break.objects.filter(leg__in=legs, feet_along__isnull=False, mended_on__isnull=False)
    earlier = list(rows.select_related("fault", "leg").order_by("mended_on", "pk"))
    claims = (_claim(one, earlier, place) for one in breaks if one.leg_id in legs)
    return [claim for claim in claims if claim is not None]


def _claim(new: Break, earlier: Sequence[Break], place: Property) -> Claim | None:
    if new.feet_along is None or new.found_on is None:
        return None
    mends = [
        mend
        for one in earlier
        if one.pk != new.pk and one.leg_id == new.leg_id and (mend := _mend(one, place))
    ]
    near = nearest_own_mend(
        mends,
        feet=_feet(new),
        found_on=new.found_on,
        within_ft=settings.WARRANTY_NEAR_FT,
    )
    if near is None:
        return None
    return Claim(new, next(one for one in earlier if one.pk == near.source), near.until)


def _mend(one: Break, place: Property) -> Mend | None:
    assert one.mended_on is not None
    until = one.warranty_until or warranty_end(one.mended_on, place.warranty_days)
    if until is None or until < one.mended_on:
        return None
    return Mend(one.pk, _feet(one), one.mended_on, until)


def _feet(one: Break) -> float:
    assert one.leg is not None
    assert one.feet_along is not None
    is_far = one.from_point_id == one.leg.to_point_id
    return feet_from_first_point(one.feet_along, one.leg.length_ft, from_far_end=is_far)


def proven_rows(fault: Fault) -> list[FaultStation]:
    """Return the stations of a fault that only wait to be enabled and returned."""
    rows = fault.stations.filter(stage=Stage.PROVEN.value).select_related("station__controller")
    return list(rows.order_by("station__controller__name", "station__number", "pk"))


def approvers_of(place: Property) -> list[Contact]:
    """Return who may say yes at a property, by name."""
    rows = place.contacts.filter(role=ContactRole.APPROVES, ended_on__isnull=True)
    return list(rows.order_by("name", "pk"))


def assignment_of_key(key: int) -> Assignment | None:
    """Return the assignment of this key, for one that is taken back."""
    return Assignment.objects.filter(pk=key).first()


def open_fault_on(user: User, station: Station) -> Fault | None:
    """Return the open fault that stops a station, where the user may see it; the oldest of two."""
    standing = FaultStation.objects.filter(station=station).exclude(stage__in=CLOSED)
    rows = faults_for(user).filter(pk__in=standing.values("fault")).select_related("property")
    return rows.order_by("reported_on", "pk").first()
