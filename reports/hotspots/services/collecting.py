"""Collect what the engines need: stretches with their days and faults, and faults without place.

Ground that nobody surveyed is a run that a list of lengths implies: one leg for each station, in a
trench that it may share with others. Nothing can be located on it, so it is not ground without
faults: it and its faults stand outside every rate, and only causes are taken from there.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from faults.cases.engines.stages import Stage
from reports.hotspots.engines.spreading import Unlocated, by_length, spread
from reports.hotspots.queries import (
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
from reports.hotspots.services.scope import Scope
from reports.hotspots.services.whole_legs import (
    Ended,
    Event,
    Family,
    Part,
    Stretch,
    along_root,
    ended_lives,
    event_of,
    family_of,
    observed_since,
)
from sites.models import Property

# A fault that is over and has no place: it was given up, or the wire was passed by.
OVER = frozenset({Stage.RETURNED.value, Stage.GIVEN_UP.value})


@dataclass(frozen=True)
class Collected:
    """What is in view, and what is not.

    `still_sought` are open faults without a place; `before` are breaks before a leg was renewed,
    on legs that are gone, or from before anyone kept records; `unlocated` are faults that are
    over and were never located, `off_leg` those that were found, but written down on no leg; of
    both together `nowhere` could be put on no leg. `outside` are faults on ground not
    surveyed. `found_elsewhere` are breaks that lie on no stretch, for what is known of causes.
    """

    stretches: dict[int, Stretch]
    root_of: Mapping[int, int]
    unlocated: int
    off_leg: int
    nowhere: int
    outside: int
    still_sought: int
    before: int
    without_records: int
    is_cut: bool
    unsurveyed: frozenset[int]
    found_elsewhere: tuple[Event, ...]

    @property
    def located(self) -> int:
        """Faults whose place is known."""
        return sum(len(one.events) for one in self.stretches.values())


def collect(places: Sequence[Property], scope: Scope) -> Collected:
    """Collect the properties' ground and faults, in eleven queries at most."""
    rows = leg_rows(places)
    family, renewed, known = family_of(rows), renewals_by_leg(places), known_since(places)
    every = _stretches(places, scope, rows, family, renewed, known)
    in_view = [row for row in break_rows(places) if _in_view(row, scope)]
    before = _put_breaks(in_view, scope, every, family, renewed, known)
    off_leg, too_early = _off_leg(in_view, known)
    found_ids = {row.fault_id for row in off_leg}
    stopped = [row for row in stopped_without_place(places) if scope.holds(row.reported_on)]
    # Found is found, whatever is still to be done about it.
    known_way = [row for row in stopped if row.fault_id in found_ids]
    not_found = [row for row in stopped if row.fault_id not in found_ids]
    if scope.counts_unlocated:
        known_way += [row for row in not_found if row.stage in OVER]
    weights = _unlocated(known_way, every, family)
    unsurveyed = frozenset(key for key, one in every.items() if not one.is_surveyed)
    outside = {fault for fault, one in weights.items() if one.lies_within(unsurveyed)}
    nowhere = _spread_over(every, [one for key, one in weights.items() if key not in outside])
    there = [event for key in unsurveyed for event in every[key].events]
    return Collected(
        {key: one for key, one in every.items() if key not in unsurveyed},
        family.root_of,
        len(weights.keys() - outside - found_ids),
        len((weights.keys() & found_ids) - outside),
        nowhere,
        len(outside) + len({event.fault_ref for event in there}),
        len({row.fault_id for row in not_found if row.stage not in OVER}),
        before + too_early,
        sum(known[place.pk] is None for place in places),
        len(rows) == MOST_LEGS,
        unsurveyed,
        (*there, *(event_of(row, None) for row in off_leg)),
    )


def _spread_over(stretches: Mapping[int, Stretch], faults: Sequence[Unlocated]) -> int:
    """Spread faults without a place over stretches; return how many could be put on none."""
    put = spread(faults)
    for key, share in put.by_leg.items():
        stretches[key].spread += share
    return put.nowhere


def _in_view(found: BreakRow, scope: Scope) -> bool:
    return scope.counts(found.cause) and scope.holds(found.reported_on)


def _off_leg(
    rows: Sequence[BreakRow], known: Mapping[int, date | None]
) -> tuple[list[BreakRow], int]:
    """Return the breaks on no leg, and how many more are from before anybody kept records."""
    found = [row for row in rows if row.leg_id is None]
    since = {row.pk: known[row.property_id] for row in found}
    counted = [row for row in found if (day := since[row.pk]) and row.reported_on >= day]
    return counted, len(found) - len(counted)


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
        ended: dict[date, Ended] = defaultdict(Ended)
        for now in family.now(row):
            asked = (now, known[now.property_id], renewed.get(now.pk, ()), scope)
            since = observed_since(*asked)
            if now.retired_on is None and since is not None and since < scope.to_on:
                parts.append(Part(now, wires.get(now.pk, 0), since, scope.to_on))
                for lived in ended_lives(*asked):
                    ended[lived.until].add(now.length_ft, wires.get(now.pk, 0), lived)
        if parts:
            found[row.pk] = Stretch(row, by_pk[row.property_id], parts, ended=dict(ended))
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
    counts_from: dict[int, date | None] = {}
    for found in rows:
        leg = None if found.leg_id is None else family.by_pk.get(found.leg_id)
        if leg is None:
            continue
        stretch = stretches.get(family.root_of[leg.pk])
        if leg.pk not in counts_from:
            since = observed_since(leg, known[leg.property_id], renewed.get(leg.pk, ()), scope)
            counts_from[leg.pk] = max(since, stretch.since) if since and stretch else None
        start = counts_from[leg.pk]
        if stretch is None or start is None or found.reported_on < start:
            before += 1
            for lived in ended_lives(leg, known[leg.property_id], renewed.get(leg.pk, ()), scope):
                if stretch and lived.since <= found.reported_on < lived.until in stretch.ended:
                    stretch.ended[lived.until].causes.append(found.cause)
            continue
        stretch.events.append(event_of(found, along_root(found, family)))
    return before


def _unlocated(
    rows: Sequence[StoppedRow], stretches: Mapping[int, Stretch], family: Family
) -> dict[int, Unlocated]:
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
    found = {}
    for fault, ways in routes.items():
        shares = _on_stretches(searched.get(fault) or {}, stretches, family)
        found[fault] = Unlocated(shares) if shares else by_length(lengths, ways, hazard)
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
