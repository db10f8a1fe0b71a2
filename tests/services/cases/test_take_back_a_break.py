"""Taking a break back: all as if it had never been recorded, unless something stands on it."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from faults.billing.services.claims import ClaimFacts, open_claim
from faults.cases.engines.stages import Stage
from faults.cases.services.break_back import UnableToTakeBackBreak, may_take_back, take_back_break
from faults.cases.services.break_rules import BreakFacts
from faults.cases.services.breaks import correct_break, record_break
from faults.cases.services.told import UnableToMove
from faults.models import Break, Cause, CauseSide, Fault, JobKind, Search, Wait
from faults.waits.services.waits import rebuild_all_waits
from reports.hotspots.services.evidence import SUBJECT
from reports.hotspots.services.evidence import make as make_evidence
from reports.issued.services.issuing import issue
from reports.models import Report
from reports.summaries.services.summaries import summaries_of
from sites.kernel.engines.roles import Role
from sites.kernel.services.history import history_of
from sites.kernel.services.verb_days import UnableToCorrect
from sites.models import Feed, Leg, WireLeg
from sites.runs.services import Silent
from tests import make, make_jobs, make_prices, make_quotes, make_reports, make_searches
from tests.services.cases.scene import MAY, TODAY, Scene, move, reported, row_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def leg(scene: Scene) -> Leg:
    """120 ft, with the wire of both stations in it."""
    made = make.leg(property=scene.place, label="B-04", length_ft=120.0)
    for station in scene.stations:
        wire = make.wire(property=scene.place, name=f"hot {station.number}")
        WireLeg.objects.create(leg=made, wire=wire)
        Feed.objects.create(wire=wire, station=station)
    return made


def record(scene: Scene, fault: Fault, leg: Leg | None, **given: Any) -> Break:
    """Record a break as the technician does; what is sought is found by it."""
    sought = [row for row in fault.stations.all() if row.stage in ("reported", "scheduled")]
    usual: dict[str, Any] = {"feet_along": 64.0} if leg else {}
    facts = BreakFacts(leg, **{**usual, "found_on": TODAY, **given})
    return record_break(
        fault=fault, facts=facts, by=scene.technician, at=make.NOW, today=TODAY, found=sought
    )


def back(scene: Scene, one: Break, **given: Any) -> None:
    """Take it back as the owner."""
    how = {"by": scene.owner, "at": make.NOW, "today": TODAY, "why": "wrong fault", **given}
    take_back_break(one=Break.objects.get(pk=one.pk), **how)


def refused(scene: Scene, one: Break, words: str) -> None:
    """Expect it to be refused in these words, with nothing written."""
    before = (Break.objects.count(), one.fault.history.count())
    with pytest.raises(UnableToTakeBackBreak, match=words):
        back(scene, one)
    assert (Break.objects.count(), one.fault.history.count()) == before


def stages(fault: Fault) -> tuple[str, list[str]]:
    """What the fault shows, and each of its stations."""
    fault.refresh_from_db()
    return fault.stage, [row.stage for row in fault.stations.order_by("station__number", "pk")]


def waits(scene: Scene) -> list[tuple[Any, ...]]:
    """What the property's stations wait on."""
    rows = Wait.objects.filter(station__in=scene.stations).order_by("station__number")
    return list(rows.values_list("station", "waits_on", "mover"))


def test_what_was_reported_is_reported_again(scene: Scene, leg: Leg) -> None:
    for station in scene.stations:
        make.stopgap(station=station)
    fault = reported(scene)
    before = (stages(fault), waits(scene), fault.cause_side)
    evidence = make_evidence([scene.place.pk])[scene.place.pk]
    one = record(scene, fault, leg)
    assert stages(fault) == ("found", ["found", "found"])
    summaries_of(SUBJECT, [scene.place.pk])
    back(scene, one)
    assert (stages(fault), waits(scene), fault.cause_side) == before
    kept = summaries_of(SUBJECT, [scene.place.pk])[scene.place.pk]
    assert (kept.figures, bytes(kept.columns)) == (evidence.figures, bytes(evidence.columns))
    rebuild_all_waits()
    assert waits(scene) == before[1]
    # As after every move back, what it waits on has waited since the move.
    assert set(Wait.objects.values_list("since", flat=True)) == {TODAY}
    assert fault.breaks.count() == 0


def test_the_history_keeps_what_it_said(scene: Scene, leg: Leg) -> None:
    fault = reported(scene)
    one = record(scene, fault, leg, wires=list(leg.wires.all()), depth_in=15.0)
    back(scene, one)
    gone = Break.history.filter(id=one.pk).latest("history_id")
    assert (gone.history_type, gone.feet_along, gone.depth_in) == ("-", 64.0, 15.0)
    assert gone.history_change_reason == "was wrong: wrong fault (hot 7, hot 9)"
    said = [change.why for change in history_of(fault)]
    assert "break 1 (B-04, 2025-06-15) taken back: wrong fault" in said


def test_what_was_scheduled_is_scheduled_again(scene: Scene, leg: Leg) -> None:
    fault = reported(scene)
    first, second = (row_of(fault, station) for station in scene.stations)
    move(scene, fault, Stage.SCHEDULED, second)
    one = record(scene, fault, leg)
    back(scene, one)
    assert stages(fault) == ("reported", ["reported", "scheduled"])
    ways = [(row.from_stage, row.to_stage) for row in first.moves.order_by("pk")][-2:]
    assert ways == [("found", "scheduled"), ("scheduled", "reported")]


def test_a_station_to_which_a_crew_is_sent_meanwhile_stays_scheduled(
    scene: Scene, leg: Leg
) -> None:
    fault = reported(scene)
    one = record(scene, fault, leg)
    make_jobs.job(fault=fault, property=scene.place, crew=make_jobs.crew(), day=TODAY)
    back(scene, one)
    assert stages(fault) == ("scheduled", ["scheduled", "scheduled"])


def test_beside_another_break_the_stations_stay_found(scene: Scene, leg: Leg) -> None:
    fault = reported(scene)
    one, other = record(scene, fault, leg), record(scene, fault, leg, feet_along=20.0)
    back(scene, other, by=scene.technician)
    assert stages(fault)[0] == "found"
    with pytest.raises(UnableToMove, match="Your role may not move"):
        back(scene, one, by=scene.technician)
    back(scene, one)
    assert stages(fault)[0] == "reported"


def test_who_may_take_back_is_who_may_move_back(scene: Scene, leg: Leg) -> None:
    fault = reported(scene)
    one = record(scene, fault, leg)
    assert may_take_back(one, [Role.DISPATCHER])
    assert not may_take_back(one, [Role.TECHNICIAN])
    record(scene, fault, leg, feet_along=20.0)
    assert may_take_back(one, [Role.TECHNICIAN])


@pytest.mark.parametrize("before", ["", CauseSide.ELSEWHERE.value])
def test_the_side_of_the_cause_is_what_it_was(scene: Scene, before: str) -> None:
    fault = reported(scene)
    if before:
        fault.cause_side = before
        fault.save()
    one = record(scene, fault, None, cause=Cause.VALVE.value)
    fault.refresh_from_db()
    assert fault.cause_side == "valve or water"
    back(scene, one)
    # Outside the wire without the break too: then its stations are found by that.
    assert stages(fault)[0] == ("found" if before else "reported")
    assert fault.cause_side == before


def test_the_side_is_that_of_the_break_that_stays(scene: Scene, leg: Leg) -> None:
    fault = reported(scene)
    record(scene, fault, leg)
    one = record(scene, fault, None, cause=Cause.VALVE.value)
    back(scene, one)
    fault.refresh_from_db()
    assert (fault.cause_side, fault.stage) == ("wire", "found")


def test_the_search_goes_on_and_photos_stay(scene: Scene, leg: Leg) -> None:
    fault = reported(scene)
    station = scene.stations[0]
    search = make_searches.search(fault=fault, station=station, wire=leg.wires.first())
    one = record(scene, fault, leg)
    photo = make.fault_photo(fault=fault, of_break=one)
    search.refresh_from_db()
    assert (search.outcome, search.found) == ("found", one)
    back(scene, one)
    search.refresh_from_db()
    photo.refresh_from_db()
    assert (search.outcome, search.found, search.ended_at) == ("", None, None)
    assert (photo.fault, photo.of_break, photo.hidden_on) == (fault, None, None)


def test_a_search_ends_with_the_break_that_stays(scene: Scene, leg: Leg) -> None:
    fault = reported(scene)
    make_searches.search(fault=fault, station=scene.stations[0], wire=leg.wires.first())
    one = record(scene, fault, leg)
    other = record(scene, fault, leg, feet_along=20.0)
    back(scene, one)
    search = Search.objects.get()
    assert (search.outcome, search.found) == ("found", other)


def test_why_is_asked(scene: Scene, leg: Leg) -> None:
    with pytest.raises(UnableToCorrect):
        back(scene, record(scene, reported(scene), leg), why=" ")


def test_a_mend_holds_it_until_it_is_corrected_away(scene: Scene, leg: Leg) -> None:
    fault = reported(scene)
    one = record(scene, fault, leg, mended_on=TODAY)
    refused(scene, one, "its mend of 2025-06-15")
    facts = BreakFacts(leg, found_on=TODAY)
    correct_break(one=one, facts=facts, why="not mended", today=TODAY)
    back(scene, one)
    assert not fault.breaks.exists()


def test_a_yes_holds_the_only_break_and_not_one_of_two(scene: Scene, leg: Leg) -> None:
    fault = reported(scene)
    one = record(scene, fault, leg)
    move(scene, fault, Stage.AGREED, row_of(fault, scene.stations[0]))
    refused(scene, one, "B:7: agreed")
    other = record(scene, fault, leg, feet_along=20.0)
    back(scene, other)
    refused(scene, one, "agreed")


def test_a_quote_for_what_was_found_holds_it_until_withdrawn(scene: Scene, leg: Leg) -> None:
    make_prices.price_list()
    fault = reported(scene)
    earlier = make_quotes.quote(fault)
    one = record(scene, fault, leg)
    quote = make_quotes.quote(fault)
    refused(scene, one, f"quote {quote}")
    quote.withdrawn_on = TODAY
    quote.save()
    back(scene, one)
    assert earlier.withdrawn_on is None


def test_a_dig_that_is_planned_holds_the_only_break(scene: Scene, leg: Leg) -> None:
    fault = reported(scene)
    one = record(scene, fault, leg)
    make_jobs.job(fault=fault, property=scene.place, kind=JobKind.DIG)
    refused(scene, one, "the planned job")
    record(scene, fault, leg, feet_along=20.0)
    back(scene, one)


def test_a_claim_for_damage_holds_the_break_that_names_who_did_it(scene: Scene, leg: Leg) -> None:
    fault = reported(scene)
    one = record(scene, fault, leg, liable_party="a digger")
    plain = record(scene, fault, leg, feet_along=20.0)
    facts = ClaimFacts("a digger", "", "", TODAY)
    open_claim(fault=fault, facts=facts, today=TODAY)
    back(scene, plain)
    refused(scene, one, "the claim for damage: a digger")


def test_a_report_that_lists_it_holds_it(scene: Scene, leg: Leg) -> None:
    fault = reported(scene)
    before = _issued(scene)
    one = record(scene, fault, leg)
    kept = _issued(scene)
    assert before.issued_at < kept.issued_at
    refused(scene, one, f"since: report {kept}\\.")


def test_a_report_that_does_not_list_it_holds_nothing(scene: Scene, leg: Leg) -> None:
    fault = reported(scene)
    one = record(scene, fault, leg)
    # Of the time before it was found.
    _issued(scene, until_on=TODAY - timedelta(days=1))
    back(scene, one)
    assert not fault.breaks.exists()


def _issued(scene: Scene, **given: Any) -> Report:
    days = {"from_on": MAY, "until_on": TODAY, **given}
    draft = make_reports.draft(scene.place, scene.owner, **days)
    return issue(draft=draft, by=scene.owner, at=timezone.now(), progress=Silent())
