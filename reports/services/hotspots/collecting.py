"""Collect what the engines need: stretches with their days and faults, and faults without place."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from faults.engines.stages import Stage
from reports.engines.spreading import Unlocated, by_length, spread
from reports.queries_hotspots import (
    MOST_LEGS,
    BreakRow,
    FedRow,
    LegRow,
    StoppedRow,
    break_rows,
    fed_rows,
    first_faults,
    last_likelihoods,
    leg_rows,
    legs_by_wire,
    renewals_by_leg,
    stopped_without_place,
    wires_by_leg,
)
from reports.services.hotspots.ground import (
    Event,
    Family,
    Part,
    Stretch,
    along_root,
    family_of,
    observed_since,
)
from reports.services.hotspots.scope import Scope
from sites.models import Property

# A fault that is over and has no place: it was given up, or the wire was passed by.
OVER = frozenset({Stage.RETURNED.value, Stage.GIVEN_UP.value})


@dataclass(frozen=True)
class Collected:
    """What is in view, and what is not.

    `still_sought` are open faults without a place; `before` are breaks before a leg was renewed,
    on legs that are gone, or from before anyone kept records; `unlocated` are faults that are
    over and were never located, of which `nowhere` could be put on no leg.
    """

    stretches: dict[int, Stretch]
    root_of: Mapping[int, int]
    unlocated: int
    nowhere: int
    still_sought: int
    before: int
    without_records: int
    is_cut: bool

    @property
    def located(self) -> int:
        """Faults whose place is known."""
        return sum(len(one.events) for one in self.stretches.values())


def collect(places: Sequence[Property], scope: Scope) -> Collected:
    """Collect the properties' ground and faults, in eleven queries at most."""
    rows = leg_rows(places)
    family, renewed, known = family_of(rows), renewals_by_leg(places), known_since(places)
    stretches = _stretches(places, scope, rows, family, renewed, known)
    before = _put_breaks(break_rows(places), scope, stretches, family, renewed, known)
    stopped = [row for row in stopped_without_place(places) if scope.holds(row.reported_on)]
    over = [row for row in stopped if row.stage in OVER]
    unlocated = _unlocated(over, stretches, family) if scope.counts_unlocated else []
    put = spread(unlocated)
    for key, share in put.by_leg.items():
        stretches[key].spread += share
    return Collected(
        stretches,
        family.root_of,
        len(unlocated),
        put.nowhere,
        len({row.fault_id for row in stopped if row.stage not in OVER}),
        before,
        sum(known[place.pk] is None for place in places),
        len(rows) == MOST_LEGS,
    )


def known_since(places: Sequence[Property]) -> dict[int, date | None]:
    """Return since when a fault of each property would have been written down.

    Where nobody said, since its first fault: later than the truth, so rates are rather too high
    than hidden; None where there is no fault either.
    """
    first = first_faults(places)
    return {place.pk: place.records_since or first.get(place.pk) for place in places}


def _stretches(
    places: Sequence[Property],
    scope: Scope,
    rows: Sequence[LegRow],
    family: Family,
    renewed: Mapping[int, Sequence[date]],
    known: Mapping[int, date | None],
) -> dict[int, Stretch]:
    wires, by_pk = wires_by_leg(places), {place.pk: place for place in places}
    found: dict[int, Stretch] = {}
    for row in rows:
        if family.root_of[row.pk] != row.pk:
            continue
        parts = []
        for now in family.now(row):
            since = observed_since(now, known[now.property_id], renewed.get(now.pk, ()), scope)
            if now.retired_on is None and since is not None and since < scope.to_on:
                parts.append(Part(now, wires.get(now.pk, 0), since, scope.to_on))
        if parts:
            found[row.pk] = Stretch(row, by_pk[row.property_id], parts)
    return found


def _put_breaks(
    rows: Sequence[BreakRow],
    scope: Scope,
    stretches: Mapping[int, Stretch],
    family: Family,
    renewed: Mapping[int, Sequence[date]],
    known: Mapping[int, date | None],
) -> int:
    """Put each break on its stretch; return how many count no longer, or not yet."""
    before = 0
    for found in rows:
        if not (scope.counts(found.cause) and scope.holds(found.reported_on)):
            continue
        leg = family.by_pk.get(found.leg_id)
        if leg is None:
            continue
        stretch = stretches.get(family.root_of[leg.pk])
        since = observed_since(leg, known[leg.property_id], renewed.get(leg.pk, ()), scope)
        if stretch is None or since is None or found.reported_on < max(since, stretch.since):
            before += 1
            continue
        stretch.events.append(
            Event(
                found.reported_on,
                found.cause,
                along_root(found, family),
                found.depth_in,
                found.fault_ref,
                found.mended_on,
                found.how_mended,
            )
        )
    return before


def _unlocated(
    rows: Sequence[StoppedRow], stretches: Mapping[int, Stretch], family: Family
) -> list[Unlocated]:
    """Return faults without a place, each with the stretches on which it may lie.

    A fault that was searched lies where its last search left it; of another only the way of its
    wires is known. One that proved not to be in the wire is left out.
    """
    searched = last_likelihoods({row.fault_id for row in rows}) if rows else {}
    rows = [row for row in rows if searched.get(row.fault_id, {}) is not None]
    routes = _routes(rows, stretches, family)
    lengths = {key: one.length_ft for key, one in stretches.items()}
    # A stretch that broke before is likelier to have broken again.
    hazard = {key: 1.0 + len(one.events) for key, one in stretches.items() if one.events}
    found = []
    for fault, ways in routes.items():
        shares = _on_stretches(searched.get(fault) or {}, stretches, family)
        found.append(Unlocated(shares) if shares else by_length(lengths, ways, hazard))
    return found


def _on_stretches(
    likelihood: Mapping[str, float], stretches: Mapping[int, Stretch], family: Family
) -> dict[int, float]:
    """Return a likelihood by leg as one by stretch, as far as these are in view."""
    shares: dict[int, float] = defaultdict(float)
    for leg, share in likelihood.items():
        key = family.root_of.get(int(leg))
        if key is not None and key in stretches and share > 0:
            shares[key] += share
    return dict(shares)


def _routes(
    rows: Sequence[StoppedRow], stretches: Mapping[int, Stretch], family: Family
) -> dict[int, list[list[int]]]:
    """Return for each fault the stretches in which the wire of each of its stations lies."""
    fed: dict[int, list[FedRow]] = defaultdict(list)
    for served in fed_rows({row.station_id for row in rows}) if rows else ():
        fed[served.station_id].append(served)
    wire_of = {(row.fault_id, row.station_id): _wire_on(fed[row.station_id], row) for row in rows}
    legs = legs_by_wire({wire for wire in wire_of.values() if wire}) if rows else {}
    routes: dict[int, list[list[int]]] = defaultdict(list)
    for row in rows:
        wire = wire_of[row.fault_id, row.station_id]
        keys = [family.root_of[leg] for leg in legs.get(wire or 0, ()) if leg in family.root_of]
        routes[row.fault_id].append([key for key in keys if key in stretches])
    return routes


def _wire_on(rows: Sequence[FedRow], fault: StoppedRow) -> int | None:
    """Return the wire that served the station on the day, or else the first that did.

    A fault that ended by moving to a spare lies in the wire before.
    """
    on = fault.reported_on
    for row in rows:
        if (row.from_on is None or row.from_on <= on) and (row.to_on is None or on < row.to_on):
            return row.wire_id
    return rows[0].wire_id if rows else None
