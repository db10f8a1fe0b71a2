"""Keep what a search knew at its end: legs, boxes and settings change later."""

from datetime import datetime

from faults.cases.engines.stages import Stage
from faults.events import StageMoved
from faults.locating.engines.plain import ENGINE_VERSION, assumed_plain, line_plain, neighbour_plain
from faults.locating.services.beliefs import Believed
from faults.locating.services.line import NoLine
from faults.locating.services.states import state_of
from faults.models import Break, CauseSide, Fault, Search, SearchOutcome
from sites.models import today_at


def end_search(
    search: Search,
    *,
    outcome: str,
    at: datetime,
    found: Break | None = None,
    found_outside: str = "",
    why: str = "",
    minutes: int | None = None,
) -> Search:
    """End a search, whose guard the caller has checked."""
    try:
        today = today_at(search.fault.property, at)
        state = state_of(search.fault, search.station, search, today=today)
    except NoLine:
        # The register changed while the search went on: it ends all the same.
        state = None
    if state is not None:
        search.engine_version = ENGINE_VERSION
        search.assumed = assumed_plain(state.assumed)
        search.line = line_plain(state.ground.line, state.ids) | {
            "neighbours": [neighbour_plain(each) for each in state.ground.others.told]
        }
        search.final = final_of(state)
    search.ended_at, search.outcome, search.found = at, outcome, found
    search.found_outside, search.why = found_outside, why.strip()
    between = max(round((at - search.started_at).total_seconds() / 60), 0)
    search.actual_minutes = between if minutes is None else minutes
    search.save()
    return search


def final_of(state: Believed) -> dict[str, dict[str, float]]:
    """Return the last likelihood by leg, splice and cause; after a contradiction the one before."""
    belief = state.belief
    if belief is None:
        belief = state.effects[-1].before
    ground = state.ground
    return {
        "legs": {
            str(leg): round(float(share), 6)
            for leg, share in zip(ground.legs, belief.by_leg, strict=True)
        },
        "splices": {
            str(point): round(float(share), 6)
            for point, share in zip(ground.points, belief.splice, strict=True)
            if share > 0
        },
        "outside": {cause.value: round(share, 6) for cause, share in belief.outside.items()},
    }


def end_searches_of(moved: StageMoved) -> None:
    """End the open searches of stations that were found, given up or withdrawn."""
    fault = moved.fault
    outcome = outcome_of(fault, moved.to)
    if outcome is None:
        return
    going = Search.objects.open().filter(
        fault=fault, station__in=[row.station_id for row in moved.stations]
    )
    for search in going.select_related("fault__property", "station__controller__property"):
        last = fault.breaks.order_by("-running_number").first()
        end_search(
            search,
            outcome=outcome,
            at=max(moved.at, search.started_at),
            found=last if outcome == SearchOutcome.FOUND else None,
            why=moved.why,
        )


def outcome_of(fault: Fault, stage: Stage) -> str | None:
    """Return how the searches of a fault end when it comes to a stage; None: they go on."""
    if stage is Stage.FOUND:
        is_outside = fault.cause_side in (CauseSide.VALVE, CauseSide.ELSEWHERE)
        return SearchOutcome.NOT_THE_WIRE if is_outside else SearchOutcome.FOUND
    return SearchOutcome.GIVEN_UP if stage in (Stage.GIVEN_UP, Stage.WITHDRAWN) else None
