"""Each named rule on faults, breaks and readings refuses what it names."""

from datetime import date, time, timedelta
from typing import Any

import pytest

from faults.models import (
    Assignment,
    Authority,
    Break,
    FaultStation,
    Proof,
    StageMove,
    WalkNote,
    WalkResult,
)
from tests import make
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db

DAY = date(2025, 3, 10)
BEFORE = DAY - timedelta(days=1)


def test_fault_key_once_per_property() -> None:
    fault = make.fault(key="F1")
    make.fault(key="F1")
    with refused_by("fault_key_once_per_property"):
        make.fault(property=fault.property, key="F1")


def test_faults_without_a_key_are_many() -> None:
    fault = make.fault()
    assert make.fault(property=fault.property).key == fault.key == ""


def test_fault_penalty_not_below_0() -> None:
    make.fault(penalty=0)
    make.fault()
    with refused_by("fault_penalty_not_below_0"):
        make.fault(penalty="-0.01")


def test_fault_promised_after_reported() -> None:
    with refused_by("fault_promised_after_reported"):
        make.fault(reported_on=DAY, promised_on=BEFORE)


def test_fault_promised_hours_of_a_promised_day() -> None:
    eight, ten = time(8), time(10)
    make.fault(reported_on=DAY, promised_on=DAY, promised_from=eight, promised_until=ten)
    for wrong in (
        {"promised_on": None, "promised_from": eight, "promised_until": ten},
        {"promised_on": DAY, "promised_from": eight, "promised_until": eight},
        {"promised_on": DAY, "promised_from": ten, "promised_until": eight},
    ):
        with refused_by("fault_promised_hours_of_a_promised_day"):
            make.fault(reported_on=DAY, **wrong)


def test_fault_runs_with_only_by_its_symptom() -> None:
    other = make.station()
    make.fault(symptom="runs with another", runs_with=other)
    make.fault(symptom="runs with another")
    with refused_by("fault_runs_with_only_by_its_symptom"):
        make.fault(symptom="stays on", runs_with=other)


def test_fault_closed_after_reported() -> None:
    with refused_by("fault_closed_after_reported"):
        make.fault(reported_on=DAY, closed_on=BEFORE, stage="returned")


def test_fault_closed_day_only_when_closed() -> None:
    make.fault(reported_on=DAY, closed_on=DAY, stage="given up")
    with refused_by("fault_closed_day_only_when_closed"):
        make.fault(reported_on=DAY, closed_on=DAY, stage="mended")


def test_fault_names_a_station_once() -> None:
    row = make.fault().stations.get()
    with refused_by("fault_names_a_station_once"):
        FaultStation.objects.create(fault=row.fault, station=row.station)


def test_fault_station_how_returned_only_when_returned() -> None:
    row = make.fault(stage="returned").stations.get()
    row.how_returned = "new wire"
    row.save()
    row.stage = "proven"
    with refused_by("fault_station_how_returned_only_when_returned"):
        row.save()


def test_stage_move_changes_the_stage() -> None:
    row = make.fault().stations.get()
    with refused_by("stage_move_changes_the_stage"):
        StageMove.objects.create(
            fault_station=row, from_stage="found", to_stage="found", moved_at=make.NOW
        )


def _break(**given: Any) -> Break:
    fault = given.pop("fault", None) or make.fault()
    return Break.objects.create(fault=fault, **given)


def test_break_numbered_once_per_fault() -> None:
    first = _break()
    _break(fault=first.fault, running_number=2)
    with refused_by("break_numbered_once_per_fault"):
        _break(fault=first.fault)


def test_break_feet_along_not_negative() -> None:
    with refused_by("break_feet_along_not_negative"):
        _break(leg=make.leg(), feet_along=-1.0)


def test_break_feet_need_a_leg() -> None:
    with refused_by("break_feet_need_a_leg"):
        _break(feet_along=12.0)


def test_break_mended_after_found() -> None:
    _break(found_on=DAY, mended_on=DAY)
    with refused_by("break_mended_after_found"):
        _break(found_on=DAY, mended_on=BEFORE)


def test_reading_not_negative() -> None:
    with refused_by("reading_not_negative"):
        make.reading(value=-0.1)


def test_walk_note_once_per_station_and_day() -> None:
    station = make.station()
    WalkNote.objects.create(station=station, seen_on=DAY, result=WalkResult.WORKS)
    WalkNote.objects.create(station=station, seen_on=BEFORE, result=WalkResult.DEAD)
    with refused_by("walk_note_once_per_station_and_day"):
        WalkNote.objects.create(station=station, seen_on=DAY, result=WalkResult.TIMER)


def test_assignment_open_once_per_user() -> None:
    fault, user = make.fault(), make.user()
    Assignment.objects.create(fault=fault, user=user, from_on=date(2025, 5, 1))
    with refused_by("assignment_open_once_per_user"):
        Assignment.objects.create(fault=fault, user=user, from_on=date(2025, 5, 2))


def test_assignment_ends_after_it_starts() -> None:
    with refused_by("assignment_ends_after_it_starts"):
        Assignment.objects.create(
            fault=make.fault(), user=make.user(), from_on=date(2025, 5, 2), to_on=date(2025, 5, 1)
        )


def test_authority_limits_above_0() -> None:
    fault = make.fault()
    Authority.objects.create(fault=fault, given_by="Ann", given_on=DAY, up_to_hours=2)
    with refused_by("authority_limits_above_0"):
        Authority.objects.create(fault=fault, given_by="Ann", given_on=DAY, up_to_hours=0)


def test_authority_names_who_gave_it() -> None:
    with refused_by("authority_names_who_gave_it"):
        Authority.objects.create(fault=make.fault(), given_by="", given_on=DAY)


def test_proof_ran_some_minutes() -> None:
    row = make.fault().stations.get()
    reading = make.reading(station=row.station)
    runs: list[dict[str, int]] = [
        {"minutes_from_central": 0},
        {"minutes_at_clock": 0},
        {},
        {"minutes_from_central": 5, "minutes_at_clock": 5},
    ]
    for run in runs:
        with refused_by("proof_ran_some_minutes"):
            Proof.objects.create(fault_station=row, on=DAY, volts=reading, ohms=reading, **run)
    Proof.objects.create(fault_station=row, on=DAY, volts=reading, minutes_at_clock=1)


def test_proof_has_volts_or_current() -> None:
    row = make.fault().stations.get()
    Proof.objects.create(fault_station=row, on=DAY, current_ma=0, minutes_from_central=5)
    with refused_by("proof_has_volts_or_current"):
        Proof.objects.create(fault_station=row, on=DAY, minutes_from_central=5)


def test_proof_current_not_negative() -> None:
    row = make.fault().stations.get()
    with refused_by("proof_current_not_negative"):
        Proof.objects.create(fault_station=row, on=DAY, current_ma=-1, minutes_from_central=5)
