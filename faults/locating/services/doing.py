"""The verbs of a search: start it, record and void its tests, end it, take it up again."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from faults.cases.engines.stages import Stage
from faults.events import BreakTakenBack
from faults.locating.engines.evidence import UnusableReading
from faults.locating.engines.line import UnusableLine
from faults.locating.engines.off_the_wire import refuse_off_the_wire
from faults.locating.engines.options import Stand
from faults.locating.engines.plain import option_plain
from faults.locating.engines.plain_values import UnusablePlain
from faults.locating.services.beliefs import Believed, reading_of
from faults.locating.services.ending import end_search, outcome_of
from faults.locating.services.reading_words import why_unusable
from faults.locating.services.standing import with_tone
from faults.locating.services.states import state_of
from faults.models import (
    Break,
    Fault,
    Job,
    KindOfTest,
    Search,
    SearchOutcome,
    SearchReading,
    SearchTool,
)
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import save_because, was_wrong
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Station, User, today_at

# A phone's clock may run ahead of ours.
CLOCKS_DIFFER = timedelta(minutes=10)


class UnableToSearch(UnableToAct):
    """The search cannot be started, changed or ended so; with what to do instead."""


@verb(
    name="start a search",
    action=Action.TAKE_READINGS,
    guard="the station is one of the fault, which is open; its wire can be searched along; no "
    "other search of it goes on",
    undo="end the search as given up",
)
def start_search(
    *,
    fault: Fault,
    station: Station,
    at: datetime,
    by: User | None,
    key: UUID | None = None,
    job: Job | None = None,
    tools: Sequence[str] = (),
    may_cut: bool = True,
    soil_is_dry: bool = False,
) -> Search:
    """Begin to look for the break on a station's wire; the same key twice is one search."""
    if key is not None and (known := Search.objects.filter(key=key).first()):
        return known
    if not fault.stations.filter(station=station).exists():
        raise UnableToSearch(_("%s is not a station of this fault.") % station)
    if fault.closed_on is not None:
        raise UnableToSearch(_("This fault is closed. Open it again first."))
    if Search.objects.open().filter(station=station).exists():
        raise UnableToSearch(
            _("A search of %s goes on already. Go on with it, or end it first.") % station
        )
    made = Search(
        fault=fault,
        station=station,
        started_at=at,
        by=by,
        job=job,
        tools=_known_tools(tools),
        may_cut=may_cut,
        soil_is_dry=soil_is_dry,
        **({"key": key} if key else {}),
    )
    state = state_of(fault, station, made, today=today_at(fault.property, at))
    made.wire = state.ground.wire
    best = next(iter(state.options(Stand())), None)
    made.expected_minutes = best.minutes if best else None
    made.save()
    return made


@verb(
    name="say what is at hand in a search",
    action=Action.TAKE_READINGS,
    guard="the search goes on",
    undo="say it again",
)
def equip_search(
    *, search: Search, tools: Sequence[str], may_cut: bool, soil_is_dry: bool
) -> Search:
    """Say which instruments are here, whether a wire may be cut, and how the soil is."""
    _refuse_ended(search)
    search.tools, search.may_cut, search.soil_is_dry = _known_tools(tools), may_cut, soil_is_dry
    search.save()
    return search


@verb(
    name="record a test of a search",
    action=Action.TAKE_READINGS,
    guard="the search goes on; a test that can be made on this wire; not before the search began "
    "and not in time to come",
    undo="void a test of a search",
)
def record_search_reading(
    *,
    search: Search,
    said: Mapping[str, Any],
    taken_at: datetime,
    by: User | None,
    now: datetime,
    key: UUID | None = None,
    stand: Stand | None = None,
) -> SearchReading:
    """Keep one test and what the plan had said before it; the same key twice is one test.

    Args:
        said: as `faults.locating.engines.plain.reading_from` reads it.
        stand: where the technician stood, for the plan that is kept beside the test.
    """
    if key is not None and (known := SearchReading.objects.filter(key=key).first()):
        return known
    _refuse_ended(search)
    if not search.started_at - CLOCKS_DIFFER <= taken_at <= now + CLOCKS_DIFFER:
        raise UnableToSearch(
            _("A test is made after its search began, and not in time to come. Look at the clock.")
        )
    _refuse_strange(said)
    state = state_of(
        search.fault, search.station, search, today=today_at(search.fault.property, now)
    )
    try:
        reading = reading_of(said, state.ground, soil_is_dry=search.soil_is_dry)
        refuse_off_the_wire(reading, state.ground.line, state.assumed)
        shown = _shown(state, reading, with_tone(stand or Stand(), state))
    except (UnusablePlain, UnusableLine, UnusableReading) as problem:
        raise UnableToSearch(why_unusable(problem, search.fault.property)) from problem
    point = said.get("point")
    return SearchReading.objects.create(
        search=search,
        kind=KindOfTest(said["kind"]),
        point_id=point if isinstance(point, int) and point > 0 else None,
        said=dict(said),
        taken_at=taken_at,
        entered_at=now,
        by=by,
        shown=shown,
        **({"key": key} if key else {}),
    )


def _refuse_strange(said: Mapping[str, Any]) -> None:
    """Refuse what is no test of a search, though the engine reads it from other records."""
    if said.get("kind") == KindOfTest.MENDED and not said.get("check"):
        raise UnableToSearch(
            _("A mend of the wire is recorded with its break, on the fault's page: it counts then.")
        )
    if said.get("kind") == KindOfTest.OHMS and said.get("joined"):
        raise UnableToSearch(
            _("A bring-home test is a reading of the station. Record it there: it counts.")
        )


def _shown(state: Believed, reading: Any, stand: Stand) -> dict[str, Any]:
    """Return the best action as the plan showed it, and how likely this result was."""
    if state.belief is None:
        return {}
    chance = state.chance_of(reading)
    best = next(iter(state.options(stand)), None)
    return {
        "chance": chance,
        **({"option": option_plain(best, state.ids)} if best else {}),
    }


@verb(
    name="void a test of a search",
    action=Action.TAKE_READINGS,
    guard="the search goes on; not voided before; a reason in words",
    undo="record the test again: a voided one stays in view",
)
def void_search_reading(*, reading: SearchReading, why: str, now: datetime) -> SearchReading:
    """Take a wrong test out of the search; it stays in view, struck through."""
    _refuse_ended(reading.search)
    if reading.voided_at is not None:
        raise UnableToSearch(_("This test is voided already."))
    if not why.strip():
        raise UnableToSearch(_("Say why, in a few words."), field="why")
    reading.voided_at, reading.why_voided = now, why.strip()
    reading.save()
    return reading


@verb(
    name="end a search",
    action=Action.TAKE_READINGS,
    guard="it goes on; found: a break of the fault, or a cause outside the wire; else why",
    undo="take up a search again",
)
def finish_search(
    *,
    search: Search,
    outcome: str,
    at: datetime,
    now: datetime,
    found: Break | None = None,
    found_outside: str = "",
    why: str = "",
    minutes: int | None = None,
) -> Search:
    """End a search and keep its line, its numbers and its last likelihood.

    Args:
        minutes: working minutes, where they are fewer than those between start and end.
    """
    _refuse_ended(search)
    if not search.started_at <= at <= now + CLOCKS_DIFFER:
        raise UnableToSearch(
            _("A search ends after it began, and not in time to come."), field="at"
        )
    if outcome == SearchOutcome.FOUND and (found is None or found.fault_id != search.fault_id):
        raise UnableToSearch(
            _("Say which break of this fault was found. Record it first."), field="found"
        )
    if outcome == SearchOutcome.NOT_THE_WIRE and not (found_outside or why.strip()):
        raise UnableToSearch(_("Say what it was instead."), field="why")
    if outcome == SearchOutcome.GIVEN_UP and not why.strip():
        raise UnableToSearch(_("Say why it is given up."), field="why")
    return end_search(
        search,
        outcome=outcome,
        at=at,
        found=found if outcome == SearchOutcome.FOUND else None,
        found_outside=found_outside if outcome == SearchOutcome.NOT_THE_WIRE else "",
        why=why,
        minutes=minutes,
    )


@verb(
    name="take up a search again",
    action=Action.TAKE_READINGS,
    guard="it was ended; no other search of the station goes on; a reason in words",
    undo="end a search",
)
def reopen_search(*, search: Search, why: str) -> Search:
    """Go on with a search that was ended too early; its tests hold as before."""
    if search.ended_at is None:
        raise UnableToSearch(_("This search goes on already."))
    if Search.objects.open().filter(station=search.station_id).exists():
        raise UnableToSearch(_("Another search of this station goes on. End that one first."))
    reason = was_wrong(why)
    search.ended_at, search.outcome, search.found = None, "", None
    search.found_outside, search.why, search.actual_minutes = "", "", None
    search.line, search.assumed, search.final, search.engine_version = {}, {}, {}, ""
    search._change_reason = reason  # type: ignore[attr-defined]
    search.save()
    return search


def go_on_with_searches_of(gone: BreakTakenBack) -> None:
    """Go on with the searches that ended with this break, or let them end as the fault stands."""
    last = gone.fault.breaks.exclude(pk=gone.one.pk).order_by("-running_number").first()
    ended = Search.objects.finished().filter(found=gone.one)
    for search in ended.select_related("station__controller").order_by("pk"):
        if not gone.stays_found:
            reopen_search(search=search, why=gone.why)
            continue
        search.outcome = outcome_of(gone.fault, Stage.FOUND) or search.outcome
        search.found = last if search.outcome == SearchOutcome.FOUND else None
        save_because(search, was_wrong(gone.why))


def _refuse_ended(search: Search) -> None:
    if search.ended_at is not None:
        raise UnableToSearch(_("This search has ended. Take it up again before you change it."))


def _known_tools(tools: Sequence[str]) -> list[str]:
    return [word for word in SearchTool.values if word in tools]
