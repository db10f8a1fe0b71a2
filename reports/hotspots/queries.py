"""Rows from which hotspots are computed: ground, wires in it, renewals, breaks, faults.

Each is one query over the properties in view, whatever their number, and is cut at a limit that
the page tells of.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from datetime import date
from typing import NamedTuple

from django.db.models import Count, Exists, Max, Min, OuterRef

from faults.cases.engines.stages import HowReturned, Stage
from faults.models import (
    Break,
    Cause,
    CauseSide,
    Fault,
    FaultStation,
    Search,
    SearchOutcome,
)
from reports.models import Decision
from sites.kernel.access import properties_for
from sites.kernel.engines.roles import Action
from sites.models import Feed, Leg, PlanPicture, Property, Renewal, User, WireLeg

MOST_LEGS = 60_000
MOST_BREAKS = 150_000
MOST_STATIONS = 20_000
# Of two on one day the one that was kept later is the newer.
OLDEST_FIRST = ("decided_on", "pk")
NOT_THE_WIRE = (CauseSide.VALVE, CauseSide.ELSEWHERE)


class LegRow(NamedTuple):
    """What a leg says of itself, with the names of its ends."""

    pk: int
    ref: str
    label: str
    property_id: int
    from_point_id: int
    to_point_id: int
    from_name: str
    to_name: str
    length_ft: float
    depth_in: float | None
    cover: str
    in_conduit: bool | None
    is_surveyed: bool
    observed_from: date | None
    retired_on: date | None
    split_from_id: int | None
    starts_at_ft: float | None


class BreakRow(NamedTuple):
    """One found place of damage; `leg_id` is None where nobody wrote down on which leg."""

    pk: int
    property_id: int
    fault_id: int
    leg_id: int | None
    feet_along: float | None
    from_point_id: int | None
    reported_on: date
    found_on: date | None
    fault_ref: str
    cause: str
    depth_in: float | None
    mended_on: date | None
    how_mended: str


class StoppedRow(NamedTuple):
    """One station of a fault whose place is on no leg."""

    fault_id: int
    property_id: int
    reported_on: date
    stage: str
    station_id: int


class FedRow(NamedTuple):
    """Which wire served a station over [from_on, to_on)."""

    station_id: int
    wire_id: int
    from_on: date | None
    to_on: date | None


def places_in_view(user: User, refs: Collection[str] = ()) -> list[Property]:
    """Return the properties whose hotspots the user may see, all or those named, by code."""
    rows = properties_for(user, Action.SEE_HOTSPOTS).in_care()
    if refs:
        rows = rows.filter(ref__in=refs)
    return list(rows.order_by("code", "pk"))


def picture_of(place: Property) -> PlanPicture | None:
    """Return the picture on which the property's plan is drawn, where there is one."""
    return PlanPicture.objects.filter(property=place).first()


def leg_rows(places: Iterable[Property]) -> list[LegRow]:
    """Return all legs, those that were retired or split too."""
    rows = Leg.objects.filter(property__in=[place.pk for place in places]).order_by("pk")
    found = rows.values_list(
        *("pk", "ref", "label", "property_id", "from_point_id", "to_point_id"),
        *("from_point__name", "to_point__name", "length_ft", "depth_in", "cover", "in_conduit"),
        *("is_surveyed", "observed_from", "retired_on", "split_from_id", "starts_at_ft"),
    )
    return list(map(LegRow._make, found[:MOST_LEGS]))


def wires_by_leg(places: Iterable[Property]) -> dict[int, int]:
    """Return how many wires lie in each leg in which any is registered."""
    rows = WireLeg.objects.filter(
        wire__property__in=[place.pk for place in places], wire__retired_on__isnull=True
    )
    return dict(rows.order_by().values_list("leg").annotate(n=Count("pk")))


def renewals_by_leg(places: Iterable[Property]) -> dict[int, list[date]]:
    """Return the days on which each leg was renewed, in order."""
    rows = Renewal.objects.filter(leg__property__in=[place.pk for place in places])
    found: dict[int, list[date]] = defaultdict(list)
    for leg, on in rows.order_by("on", "pk").values_list("leg_id", "on"):
        found[leg].append(on)
    return found


def break_rows(places: Iterable[Property]) -> list[BreakRow]:
    """Return all breaks of wires, by the day on which their fault was reported."""
    rows = Break.objects.filter(fault__property__in=[place.pk for place in places])
    rows = rows.exclude(fault__stage=Stage.WITHDRAWN.value).exclude(cause=Cause.VALVE)
    rows = rows.exclude(leg=None, fault__cause_side__in=NOT_THE_WIRE)
    found = rows.order_by("fault__reported_on", "pk").values_list(
        *("pk", "fault__property_id", "fault_id", "leg_id", "feet_along", "from_point_id"),
        *("fault__reported_on", "found_on"),
        *("fault__ref", "cause", "depth_in", "mended_on", "how_mended"),
    )
    return list(map(BreakRow._make, found[:MOST_BREAKS]))


def first_faults(places: Iterable[Property]) -> dict[int, date]:
    """Return the day of the first fault of each property that has any."""
    rows = Fault.objects.filter(property__in=[place.pk for place in places])
    return dict(rows.order_by().values_list("property").annotate(first=Min("reported_on")))


def newest_day(place: Property) -> date:
    """Return the newest day that anything of a property's evidence hangs on."""
    days = [
        place.records_since,
        Fault.objects.filter(property=place).aggregate(day=Max("reported_on"))["day"],
        Leg.objects.filter(property=place).aggregate(day=Max("observed_from"))["day"],
        Renewal.objects.filter(leg__property=place).aggregate(day=Max("on"))["day"],
    ]
    return max((day for day in days if day is not None), default=date.min)


def names_of_legs(keys: Collection[int]) -> dict[int, tuple[str, str]]:
    """Return the reference of each leg, and what people call it."""
    rows = Leg.objects.filter(pk__in=list(keys)).order_by()
    found = rows.values_list("pk", "ref", "label", "from_point__name", "to_point__name")
    return {pk: (ref, label or f"{first} – {last}") for pk, ref, label, first, last in found}


def faults_on_legs(keys: Collection[int]) -> list[tuple[int, int, date]]:
    """Return (leg, fault, the day on which it was reported) for each break on these legs."""
    rows = Break.objects.filter(leg__in=list(keys)).exclude(fault__stage=Stage.WITHDRAWN.value)
    return list(rows.order_by("pk").values_list("leg", "fault", "fault__reported_on"))


def covers_by_leg(keys: Collection[int]) -> dict[int, str]:
    """Return what lies on each of these legs."""
    return dict(Leg.objects.filter(pk__in=list(keys)).values_list("pk", "cover"))


def in_conduit_at(places: Collection[int]) -> list[int]:
    """Return the keys of the legs at properties of which it is known that they lie in conduit."""
    rows = Leg.objects.filter(property__in=list(places), in_conduit=True)
    return list(rows.order_by().values_list("pk", flat=True))


def ends_of_legs(keys: Collection[int]) -> dict[int, tuple[int, int]]:
    """Return the two points of each leg."""
    rows = Leg.objects.filter(pk__in=set(keys)).order_by()
    return {pk: (a, b) for pk, a, b in rows.values_list("pk", "from_point_id", "to_point_id")}


def stopped_without_place(places: Iterable[Property]) -> list[StoppedRow]:
    """Return the stations of faults in the wire that have no break on a leg.

    A fault whose only breaks are of the valve or the water has its place: it is not the wire.
    """
    known = Break.objects.filter(fault=OuterRef("fault"))
    placed = known.filter(leg__isnull=False) | known.filter(cause=Cause.VALVE)
    rows = (
        FaultStation.objects.filter(fault__property__in=[place.pk for place in places])
        .exclude(fault__cause_side__in=NOT_THE_WIRE)
        .exclude(fault__stage=Stage.WITHDRAWN.value)
        .exclude(how_returned=HowReturned.LINKED.value)
        .filter(~Exists(placed))
        .order_by("fault__reported_on", "pk")
    )
    found = rows.values_list(
        *("fault_id", "fault__property_id", "fault__reported_on", "fault__stage", "station_id")
    )
    return [StoppedRow(*row) for row in found[:MOST_STATIONS]]


def fed_rows(stations: Collection[int]) -> list[FedRow]:
    """Return which wires served these stations, earliest first."""
    rows = Feed.objects.filter(station__in=stations).order_by("station", "from_on", "pk")
    return [FedRow(*row) for row in rows.values_list("station_id", "wire_id", "from_on", "to_on")]


def legs_by_wire(wires: Collection[int]) -> dict[int, list[int]]:
    """Return the legs in which each of these wires lies."""
    found: dict[int, list[int]] = defaultdict(list)
    rows = WireLeg.objects.filter(wire__in=wires).order_by("pk")
    for wire, leg in rows.values_list("wire_id", "leg_id"):
        found[wire].append(leg)
    return found


def last_likelihoods(faults: Collection[int]) -> dict[int, Mapping[str, float] | None]:
    """Return for each searched fault the likelihood of each leg as its last search left it.

    None where that search found that it was not the wire.
    """
    rows = Search.objects.finished().filter(fault__in=faults).order_by("ended_at", "pk")
    return {
        fault: None if outcome == SearchOutcome.NOT_THE_WIRE else final.get("legs", {})
        for fault, outcome, final in rows.values_list("fault_id", "outcome", "final")
    }


def standing_by_leg(keys: Collection[int]) -> dict[int, Decision]:
    """Return the newest decision that stands on each of these legs that has any."""
    rows = Decision.objects.filter(leg__in=list(keys), taken_back_on=None)
    return {row.leg_id: row for row in rows.select_related("decided_by").order_by(*OLDEST_FIRST)}


def standing_on(leg: Leg) -> Decision | None:
    """Return the newest decision on a leg that was not taken back."""
    return standing_by_leg([leg.pk]).get(leg.pk)


def decided_anew(keys: Collection[int]) -> dict[int, date]:
    """Return by the key of a decision on these legs on which day a newer one took its place.

    Those that stand, and those that were taken back, are not in it.
    """
    found: dict[int, date] = {}
    before: dict[int, int] = {}
    rows = Decision.objects.filter(leg__in=list(keys), taken_back_on=None)
    named = rows.order_by(*OLDEST_FIRST).values_list("pk", "leg", "decided_on")
    for key, leg, decided_on in named:
        if leg in before:
            found[before[leg]] = decided_on
        before[leg] = key
    return found


def key_of_whole(leg: Leg) -> int:
    """Return the key of the leg that a leg was split from, or its own: rankings keep it whole."""
    while leg.split_from is not None:
        leg = leg.split_from
    return leg.pk
