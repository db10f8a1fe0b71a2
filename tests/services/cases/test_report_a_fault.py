"""Reporting a fault, naming its stations, and correcting what was reported."""

from datetime import time, timedelta

import pytest

from faults.cases.engines.stages import Stage
from faults.cases.services.naming import UnableToFindStation, find_stations
from faults.cases.services.report import Report, UnableToReport, UnableToReportTwice, correct_report
from faults.models import CauseSide, Fault, Reading, StageMove
from sites.kernel.services.verb_days import UnableToCorrect, UnableToUseDay
from sites.models import Feed
from tests import make
from tests.services.cases.scene import MAY, TODAY, Scene, move, reported

pytestmark = pytest.mark.django_db


def test_a_reported_fault_stops_each_station_from_that_day(scene: Scene) -> None:
    fault = reported(scene, summary="dead since the storm")
    assert [str(row.station) for row in fault.stations.order_by("pk")] == ["B:7", "B:9"]
    moves = StageMove.objects.filter(fault_station__fault=fault)
    assert {(each.from_stage, each.to_stage, each.on) for each in moves} == {("", "reported", MAY)}
    assert fault.history.count() == 1


def test_the_key_continues_the_propertys_highest(scene: Scene) -> None:
    make.fault(scene.stations[0], key="F-0366", stage="returned")
    make.fault(key="F-0500")
    assert reported(scene).key == "F-0367"


def test_a_key_that_another_property_uses_is_passed_over(scene: Scene) -> None:
    make.fault(scene.stations[0], key="F-0366", stage="returned")
    make.fault(key="F-0367")
    assert reported(scene).key == "F-0368"


def test_a_second_open_fault_on_a_station_is_refused_naming_the_first(scene: Scene) -> None:
    first = reported(scene, scene.stations[0])
    with pytest.raises(UnableToReportTwice, match=f"B:7 has an open fault already: {first}") as no:
        reported(scene)
    assert no.value.fault == first


def test_a_closed_fault_stands_in_nobodys_way(scene: Scene) -> None:
    make.fault(scene.stations[0], stage="returned")
    assert reported(scene, scene.stations[0]).key


def test_a_retired_station_is_refused(scene: Scene) -> None:
    scene.stations[0].retired_on = MAY
    scene.stations[0].save()
    with pytest.raises(UnableToReport, match="B:7 is retired"):
        reported(scene)


def test_another_propertys_station_is_refused(scene: Scene) -> None:
    with pytest.raises(UnableToReport, match="does not belong"):
        reported(scene, make.station())


def test_a_day_that_has_not_come_is_refused(scene: Scene) -> None:
    with pytest.raises(UnableToUseDay, match="has not come yet"):
        reported(scene, on=TODAY + timedelta(days=1))


def test_a_valve_that_does_not_open_by_hand_points_to_valve_or_water(scene: Scene) -> None:
    fault = reported(scene, opens_by_hand="no")
    assert fault.cause_side == CauseSide.VALVE
    assert fault.is_outside_the_wire()


def test_a_valve_that_opens_by_hand_leaves_the_wire_under_suspicion(scene: Scene) -> None:
    assert not reported(scene, opens_by_hand="yes").is_outside_the_wire()


def test_ohms_become_a_reading_on_the_stations_wire(scene: Scene) -> None:
    wire = make.wire(property=scene.place)
    Feed.objects.create(wire=wire, station=scene.stations[0])
    reported(scene, ohms=31.5)
    reading = Reading.objects.get()
    assert (reading.station, reading.wire, reading.value) == (scene.stations[0], wire, 31.5)
    assert (reading.taken_on, reading.entered_by) == (MAY, scene.owner)


def test_stations_are_found_by_number_and_by_name(scene: Scene) -> None:
    rose = make.station(controller=scene.stations[0].controller, number=12, name="rose bed")
    assert find_stations(scene.place, "b:7, 9 and 12") == [*scene.stations, rose]
    assert find_stations(scene.place, "rose") == [rose]
    assert find_stations(scene.place, "7") == [scene.stations[0]]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("B:8", "has no station “B:8”"),
        ("", "Name at least one station"),
        ("B:9-7", "is not a range"),
        ("nothing like it", "has no station"),
    ],
)
def test_a_name_that_is_no_station_is_refused_in_words(scene: Scene, text: str, words: str) -> None:
    with pytest.raises(UnableToFindStation, match=words):
        find_stations(scene.place, text)


def test_a_number_that_two_controllers_have_is_asked_about(scene: Scene) -> None:
    make.station(controller=make.controller(property=scene.place, name="C"), number=7)
    with pytest.raises(UnableToFindStation, match="can be B:7, C:7"):
        find_stations(scene.place, "7")


def test_a_correction_keeps_the_old_answer_in_history(scene: Scene) -> None:
    fault = reported(scene, opens_by_hand="no")
    report = Report(reported_on=MAY, symptom="open", opens_by_hand="yes")
    correct_report(fault=fault, report=report, why="wrong valve tried", today=TODAY)
    assert (fault.cause_side, fault.symptom) == ("", "open")
    newest, before = fault.history.order_by("-history_id")[:2]
    assert newest.history_change_reason == "was wrong: wrong valve tried"
    assert before.opens_by_hand == "no"


def test_who_called_and_what_was_promised_is_kept_and_put_right(scene: Scene) -> None:
    told = {"caller": " Ms  Vole ", "order_number": " PO 7 ", "promised_on": MAY}
    fault = reported(scene, **told)
    assert (fault.caller, fault.order_number, fault.promised_on) == ("Ms Vole", "PO 7", MAY)
    before = MAY - timedelta(days=1)
    with pytest.raises(UnableToReport, match="promised for a day before") as no:
        correct_report(fault=fault, report=Report(MAY, promised_on=before), why="x", today=TODAY)
    assert no.value.field == "promised_on"
    correct_report(fault=fault, report=Report(MAY), why="another caller", today=TODAY)
    assert (fault.caller, fault.order_number, fault.promised_on) == ("", "", None)


def test_the_other_station_goes_with_its_symptom_alone(scene: Scene) -> None:
    one, other = scene.stations
    fault = reported(scene, one, symptom="runs with another", runs_with=other)
    assert fault.runs_with == other
    assert fault.symptom_words() == "runs with another (B:9)"
    with pytest.raises(UnableToReport, match="Only what runs with another") as no:
        correct_report(
            fault=fault, report=Report(MAY, symptom="open", runs_with=other), why="x", today=TODAY
        )
    assert no.value.field == "runs_with"
    with pytest.raises(UnableToReport, match="is the station itself"):
        correct_report(
            fault=fault,
            report=Report(MAY, symptom="runs with another", runs_with=one),
            why="x",
            today=TODAY,
        )
    correct_report(fault=fault, report=Report(MAY, symptom="open"), why="x", today=TODAY)
    assert (fault.runs_with, fault.symptom_words()) == (None, "open circuit")


def test_the_other_station_lies_on_the_same_property(scene: Scene) -> None:
    with pytest.raises(UnableToReport, match="does not belong"):
        reported(scene, symptom="runs with another", runs_with=make.station())
    # Of a fault of both, either may be named.
    both = reported(scene, symptom="runs with another", runs_with=scene.stations[0])
    assert both.stations.count() == 2


def test_promised_times_are_of_a_day_both_and_in_order(scene: Scene) -> None:
    eight, ten = time(8), time(10)
    wrong = [
        ({"promised_from": eight, "promised_until": ten}, "promised_on"),
        ({"promised_on": MAY, "promised_from": eight}, "promised_until"),
        ({"promised_on": MAY, "promised_until": ten}, "promised_from"),
        ({"promised_on": MAY, "promised_from": ten, "promised_until": eight}, "promised_until"),
        ({"promised_on": MAY, "promised_from": ten, "promised_until": ten}, "promised_until"),
    ]
    for given, field in wrong:
        with pytest.raises(UnableToReport) as no:
            reported(scene, **given)
        assert no.value.field == field
    fault = reported(scene, promised_on=MAY, promised_from=eight, promised_until=ten)
    assert fault.promised_hours() == "08:00–10:00"
    correct_report(fault=fault, report=Report(MAY, promised_on=MAY), why="any time", today=TODAY)
    assert (fault.promised_on, fault.promised_hours()) == (MAY, "")


def test_a_promise_before_the_report_is_refused_at_the_report(scene: Scene) -> None:
    with pytest.raises(UnableToReport, match="promised for a day before"):
        reported(scene, promised_on=MAY - timedelta(days=1))
    assert not Fault.objects.exists()


def test_a_correction_without_words_is_refused(scene: Scene) -> None:
    with pytest.raises(UnableToCorrect):
        correct_report(fault=reported(scene), report=Report(MAY), why=" ", today=TODAY)


def test_a_fault_was_not_reported_after_it_moved(scene: Scene) -> None:
    fault = reported(scene)
    move(scene, fault, Stage.FOUND, on=MAY)
    report = Report(reported_on=MAY + timedelta(days=1))
    with pytest.raises(UnableToReport, match="moved on 2025-05-01 already"):
        correct_report(fault=fault, report=report, why="typed wrongly", today=TODAY)


def test_withdrawing_takes_a_report_back(scene: Scene) -> None:
    fault = reported(scene)
    move(scene, fault, Stage.WITHDRAWN, why="it was the wrong property")
    assert (fault.stage, fault.closed_on) == ("withdrawn", TODAY)
    assert reported(scene).stage == "reported"
