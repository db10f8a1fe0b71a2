"""Edges of moving stations: the day itself, the day before and after; two stations of one fault."""

from datetime import date, timedelta

import pytest

from faults.cases.engines.stages import Stage
from faults.cases.services.told import Visit
from faults.models import FaultStation
from tests.services.cases.scene import MAY, TODAY, Scene, move, refused, reported, row_of

pytestmark = pytest.mark.django_db
ONE = timedelta(days=1)


def both(scene: Scene, **given: object) -> tuple[FaultStation, FaultStation]:
    """The two rows of a newly reported fault."""
    fault = reported(scene, **given)  # type: ignore[arg-type]
    first, second = (row_of(fault, station) for station in scene.stations)
    return first, second


@pytest.mark.parametrize(
    ("first_on", "second_on", "closed_on"),
    [
        (TODAY - 3 * ONE, TODAY, TODAY),
        (TODAY, TODAY, TODAY),
        # The one that is entered last ended sooner: the fault closed with the later one.
        (TODAY, TODAY - 3 * ONE, TODAY),
    ],
)
def test_a_fault_closes_on_the_day_on_which_the_last_of_its_stations_did(
    scene: Scene, first_on: date, second_on: date, closed_on: date
) -> None:
    first, second = both(scene)
    move(scene, first.fault, Stage.WITHDRAWN, first, on=first_on, why="runs again")
    assert first.fault.closed_on is None
    assert first.fault.stage == "reported"
    move(scene, first.fault, Stage.WITHDRAWN, second, on=second_on, why="runs again")
    assert (first.fault.stage, first.fault.closed_on) == ("withdrawn", closed_on)


@pytest.mark.parametrize(("on", "is_kept"), [(MAY - ONE, False), (MAY, True), (MAY + ONE, True)])
def test_the_first_move_is_on_the_day_of_the_report_or_later(
    scene: Scene, on: date, is_kept: bool
) -> None:
    first, _ = both(scene)
    if is_kept:
        move(scene, first.fault, Stage.FOUND, first, on=on)
        assert row_of(first.fault, first.station).stage == "found"
    else:
        no = refused(scene, first.fault, Stage.FOUND, f"last step was on {MAY}", on=on)
        assert no.field == "on"


def test_of_two_stations_that_move_together_the_later_last_move_counts(scene: Scene) -> None:
    first, second = both(scene)
    fault = first.fault
    move(scene, fault, Stage.FOUND, first, on=TODAY - 5 * ONE)
    move(scene, fault, Stage.FOUND, second, on=TODAY - 2 * ONE)
    refused(scene, fault, Stage.AGREED, f"last step was on {TODAY - 2 * ONE}", on=TODAY - 3 * ONE)
    move(scene, fault, Stage.AGREED, on=TODAY - 2 * ONE)
    # The one alone looks to its own last move, which is the common one now.
    refused(scene, fault, Stage.FOUND, "last step", on=TODAY - 3 * ONE, why="no")


def test_a_station_alone_does_not_wait_for_its_neighbours_last_move(scene: Scene) -> None:
    first, second = both(scene)
    move(scene, first.fault, Stage.FOUND, first, on=TODAY)
    move(scene, first.fault, Stage.FOUND, second, on=TODAY - 5 * ONE)
    assert row_of(first.fault, second.station).stage == "found"


@pytest.mark.parametrize(("ahead", "is_kept"), [(-1, False), (0, True), (1, True)])
def test_a_visit_may_be_on_the_day_on_which_it_is_scheduled(
    scene: Scene, ahead: int, is_kept: bool
) -> None:
    first, _ = both(scene)
    told = Visit(scene.technician, TODAY + ahead * ONE)
    if is_kept:
        move(scene, first.fault, Stage.SCHEDULED, facts=told)
        assert first.fault.stage == "scheduled"
    else:
        refused(scene, first.fault, Stage.SCHEDULED, "before the day", facts=told)


def test_one_of_two_that_may_not_go_there_stops_both(scene: Scene) -> None:
    first, second = both(scene)
    move(scene, first.fault, Stage.FOUND, first)
    refused(scene, first.fault, Stage.AGREED, "no way leads from there")
    stages = {row_of(first.fault, each.station).stage for each in (first, second)}
    assert stages == {"found", "reported"}


def test_words_are_asked_for_where_one_of_two_goes_back(scene: Scene) -> None:
    first, second = both(scene)
    fault = first.fault
    move(scene, fault, Stage.FOUND, first)
    move(scene, fault, Stage.SCHEDULED, second)
    # To scheduled: back for the first, onward for none; to found: onward for the second alone.
    assert refused(scene, fault, Stage.WITHDRAWN, "Say in a few words why").field == "why"
    move(scene, fault, Stage.SCHEDULED, first, why="dug at the wrong box")
    assert row_of(fault, first.station).stage == "scheduled"
