"""Moving stations of a fault: the table, the guards for real, and what each move keeps."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from faults.cases.engines.consent import Limit
from faults.cases.engines.stages import Stage
from faults.cases.services.assign import UnableToAssign
from faults.cases.services.moves import move_stations
from faults.cases.services.report import UnableToReportTwice
from faults.cases.services.told import Consent, Finding, UnableToMove, Visit
from faults.models import Assignment, Authority, Fault, StageMove
from sites.kernel.engines.roles import Role
from sites.kernel.services.verb_days import UnableToUseDay
from sites.models import StandingAuthority
from tests import make
from tests.services.cases.scene import (
    MAY,
    TODAY,
    Scene,
    move,
    refused,
    reported,
    row_of,
    walked_to,
)

pytestmark = pytest.mark.django_db


def test_a_move_that_the_table_does_not_have_isrefused(scene: Scene) -> None:
    refused(scene, reported(scene), Stage.RETURNED, "no way leads from there")


def test_a_role_that_the_table_does_not_name_isrefused(scene: Scene) -> None:
    fault = reported(scene)
    refused(scene, fault, Stage.SCHEDULED, "Your role may not", by=scene.technician)


def test_a_role_held_elsewhere_does_not_count_here(scene: Scene) -> None:
    elsewhere = make.user(Role.DISPATCHER, property=make.place())
    refused(scene, reported(scene), Stage.SCHEDULED, "Your role may not", by=elsewhere)


def test_each_move_is_kept_with_its_day_its_maker_and_its_words(scene: Scene) -> None:
    fault = reported(scene, scene.stations[0])
    move_stations(
        fault=fault,
        stations=[row_of(fault)],
        to=Stage.WITHDRAWN,
        on=TODAY,
        by=scene.owner,
        at=make.NOW,
        today=TODAY,
        why="runs again",
    )
    kept = StageMove.objects.latest("pk")
    assert (kept.from_stage, kept.to_stage, kept.on) == ("reported", "withdrawn", TODAY)
    assert (kept.by, kept.why) == (scene.owner, "runs again")
    assert row_of(fault).history.count() == 2


def test_a_day_before_the_last_move_isrefused(scene: Scene) -> None:
    fault = walked_to(scene, reported(scene), Stage.FOUND)
    no = refused(scene, fault, Stage.AGREED, "last step was on", on=TODAY - timedelta(days=1))
    assert no.field == "on"


def test_a_day_that_has_not_come_isrefused(scene: Scene) -> None:
    with pytest.raises(UnableToUseDay):
        move(scene, reported(scene), Stage.FOUND, on=TODAY + timedelta(days=1))


@pytest.mark.parametrize("to", [Stage.GIVEN_UP, Stage.WITHDRAWN])
def test_an_end_without_a_return_needs_words(scene: Scene, to: Stage) -> None:
    assert refused(scene, reported(scene), to, "Say in a few words why").field == "why"


def test_a_move_back_needs_words_and_is_the_undo(scene: Scene) -> None:
    fault = walked_to(scene, reported(scene), Stage.SCHEDULED)
    refused(scene, fault, Stage.REPORTED, "Say in a few words why")
    move(scene, fault, Stage.REPORTED, why="the crew is ill")
    assert fault.stage == "reported"


def test_scheduling_assigns_who_goes_from_the_day_of_the_visit(scene: Scene) -> None:
    fault = walked_to(scene, reported(scene), Stage.SCHEDULED)
    held = fault.assignments.get()
    assert (held.user, held.from_on) == (scene.technician, TODAY + timedelta(days=1))
    move(scene, fault, Stage.REPORTED, why="rain")
    move(scene, fault, Stage.SCHEDULED, facts=Visit(scene.technician, TODAY + timedelta(days=3)))
    assert fault.assignments.get().from_on == TODAY + timedelta(days=3)


def test_nobody_without_the_trade_is_scheduled(scene: Scene) -> None:
    with pytest.raises(UnableToAssign, match="no technician or tracer"):
        move(scene, reported(scene), Stage.SCHEDULED, facts=Visit(scene.owner, TODAY))


def test_a_visit_before_it_was_scheduled_isrefused(scene: Scene) -> None:
    told = Visit(scene.technician, TODAY - timedelta(days=1))
    refused(scene, reported(scene), Stage.SCHEDULED, "before the day", facts=told)


def test_found_needs_a_break_or_words_about_what_else_it_was(scene: Scene) -> None:
    fault = reported(scene)
    assert refused(scene, fault, Stage.FOUND, "Record the break", facts=Finding()).field
    make.break_found(fault=fault)
    move(scene, fault, Stage.FOUND, facts=Finding())
    assert fault.stage == "found"


def test_words_about_what_else_it_was_take_the_fault_off_the_wire(scene: Scene) -> None:
    fault = reported(scene)
    move(scene, fault, Stage.FOUND, facts=Finding("solenoid burnt", "valve or water"))
    assert (fault.cause_outside, fault.cause_side) == ("solenoid burnt", "valve or water")


def test_a_fault_that_triage_puts_on_valve_or_water_needs_no_leg(scene: Scene) -> None:
    fault = reported(scene, opens_by_hand="no")
    move(scene, fault, Stage.FOUND, facts=Finding())
    assert (fault.stage, fault.breaks.count()) == ("found", 0)


def _found(scene: Scene) -> Fault:
    return walked_to(scene, reported(scene), Stage.FOUND)


def test_the_clients_yes_is_kept_with_who_when_and_how_much(scene: Scene) -> None:
    fault = walked_to(scene, _found(scene), Stage.AGREED)
    kept = fault.authorities.get()
    assert (kept.given_by, kept.given_on, kept.up_to_hours) == ("Ann", TODAY, Decimal(4))
    assert (kept.stations.count(), kept.entered_by) == (2, scene.owner)


@pytest.mark.parametrize(
    ("told", "field"),
    [(Consent("", TODAY), "given_by"), (Consent("Ann", None), "given_on")],
)
def test_a_yes_needs_who_and_when(scene: Scene, told: Consent, field: str) -> None:
    assert refused(scene, _found(scene), Stage.AGREED, ".", facts=told).field == field


def test_a_yes_of_tomorrow_isrefused(scene: Scene) -> None:
    fault, told = _found(scene), Consent("Ann", TODAY + timedelta(days=1))
    with pytest.raises(UnableToUseDay):
        move(scene, fault, Stage.AGREED, facts=told)


def _standing(scene: Scene, **given: Any) -> StandingAuthority:
    kept = {"from_on": date(2025, 1, 1), "given_by": "Facilities", "up_to_hours": 4, **given}
    return StandingAuthority.objects.create(property=scene.place, **kept)


def _unasked(hours: int | None) -> Consent:
    return Consent(limit=Limit(hours and Decimal(hours)), is_standing=True)


def test_standing_authority_agrees_at_once_within_its_limit(scene: Scene) -> None:
    standing = _standing(scene)
    fault = _found(scene)
    move(scene, fault, Stage.AGREED, facts=_unasked(3))
    kept = Authority.objects.get()
    assert (kept.standing, kept.given_by, kept.given_on) == (standing, "Facilities", TODAY)


@pytest.mark.parametrize(
    ("given", "hours", "words"),
    [
        ({}, 5, "does not cover this: up to 4 hours"),
        ({}, None, "does not cover this"),
        ({"to_on": TODAY}, 3, "No standing authority holds"),
        ({"from_on": TODAY + timedelta(days=1)}, 3, "No standing authority holds"),
    ],
)
def test_standing_authority_covers_its_days_and_its_limit_only(
    scene: Scene, given: dict[str, Any], hours: int | None, words: str
) -> None:
    _standing(scene, **given)
    refused(scene, _found(scene), Stage.AGREED, words, facts=_unasked(hours))


def test_the_fault_shows_its_least_advanced_station(scene: Scene) -> None:
    fault = reported(scene)
    first = row_of(fault, scene.stations[0])
    move(scene, fault, Stage.FOUND, first)
    assert fault.stage == "reported"
    move(scene, fault, Stage.WITHDRAWN, row_of(fault, scene.stations[1]), why="another fault")
    assert (fault.stage, fault.closed_on) == ("found", None)


def test_a_fault_closes_on_the_day_of_its_last_move_and_ends_its_assignments(
    scene: Scene,
) -> None:
    fault = walked_to(scene, reported(scene), Stage.SCHEDULED)
    first, second = fault.stations.order_by("pk")
    move(scene, fault, Stage.GIVEN_UP, first, why="paved over")
    move(scene, fault, Stage.WITHDRAWN, second, why="runs")
    assert fault.closed_on == TODAY
    assert Assignment.objects.get().to_on == TODAY + timedelta(days=1)


def test_opening_again_clears_the_closing_day(scene: Scene) -> None:
    fault = reported(scene)
    move(scene, fault, Stage.GIVEN_UP, why="paved over")
    move(scene, fault, Stage.REPORTED, why="the paving is gone")
    assert (fault.stage, fault.closed_on) == ("reported", None)


def test_a_fault_is_not_opened_beside_another_on_its_station(scene: Scene) -> None:
    fault = reported(scene)
    move(scene, fault, Stage.GIVEN_UP, why="paved over")
    reported(scene, scene.stations[0], on=MAY)
    with pytest.raises(UnableToReportTwice):
        move(scene, fault, Stage.REPORTED, why="again")


def test_another_faults_station_isrefused(scene: Scene) -> None:
    other = row_of(make.fault())
    with pytest.raises(UnableToMove):
        move(scene, reported(scene), Stage.FOUND, other)


def test_a_row_read_hours_ago_does_not_move_twice(scene: Scene) -> None:
    fault = reported(scene, scene.stations[0])
    stale = row_of(fault)
    move(scene, fault, Stage.FOUND)
    refused(scene, fault, Stage.SCHEDULED, "Say in a few words", facts=None)
    with pytest.raises(UnableToMove, match="B:7 is found"):
        move(scene, fault, Stage.REPORTED, stale, why="typed wrongly")
