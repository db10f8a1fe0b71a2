"""Times off central control: where each begins, is first seen and ends, and how."""

from datetime import date, timedelta

import pytest

from faults.cases.engines.stages import HowReturned, Stage
from faults.models import Cause, FaultStation, JobState
from reports.lasting.services.times import CLIENT, NOT_WRITTEN, RETIRED, TimeOff, Times, times_off
from reports.lasting.services.working_out import worked_out
from sites.models import Central, Property, Station
from sites.runs.services import Silent, UnableToFinish
from tests import make, make_jobs

pytestmark = pytest.mark.django_db

TODAY = date(2025, 6, 15)


def found(*places: Property) -> Times:
    return times_off([place.pk for place in places], today=TODAY)


def only(station: Station) -> TimeOff:
    (row,) = found(station.controller.property).rows
    return row


@pytest.fixture
def station(db: None) -> Station:
    return make.station()


def test_a_time_that_goes_on_is_seen_until_today(station: Station) -> None:
    make.stopgap(station=station, on=date(2025, 3, 1))
    row = only(station)
    assert (row.earliest, row.latest, row.seen) == (date(2025, 3, 1),) * 3
    assert (row.until, row.end, row.reason) == (TODAY, None, "wire")


def test_stopgaps_that_follow_one_another_are_one_time(station: Station) -> None:
    make.stopgap(station=station, on=date(2025, 3, 1), kind="shut off", removed_on=date(2025, 3, 9))
    make.stopgap(station=station, on=date(2025, 3, 9), removed_on=date(2025, 4, 1))
    row = only(station)
    assert (row.latest, row.until, row.end) == (date(2025, 3, 1), date(2025, 4, 1), NOT_WRITTEN)


def test_a_window_is_seen_from_the_day_it_was_written_down(station: Station) -> None:
    make.stopgap(
        station=station,
        fitted_earliest=date(2024, 1, 1),
        fitted_latest=date(2024, 12, 31),
        first_seen_on=date(2025, 2, 1),
    )
    row = only(station)
    assert (row.earliest, row.latest, row.seen) == (
        date(2024, 1, 1), date(2024, 12, 31), date(2025, 2, 1))  # fmt: skip
    assert row.middle == date(2024, 7, 1)
    lasted = row.lasted(row.middle)
    assert lasted is not None
    assert (lasted.entry, lasted.exit) == (215, 349)


def test_a_window_that_nobody_saw_counts_from_its_last_day(station: Station) -> None:
    make.stopgap(
        station=station, fitted_earliest=date(2024, 1, 1), fitted_latest=date(2024, 12, 31)
    )
    assert only(station).seen == date(2024, 12, 31)


def test_a_start_that_nobody_knows_is_left_out_and_counted(station: Station) -> None:
    make.stopgap(
        station=station, fitted_earliest=None, fitted_latest=None, first_seen_on=date(2025, 2, 1)
    )
    make.stopgap(station=make.station(controller=station.controller), on=date(2025, 3, 1))
    every = found(station.controller.property)
    assert (len(every.rows), len(every.undated)) == (1, 1)


def test_what_was_over_before_records_began_says_nothing(station: Station) -> None:
    place = station.controller.property
    for day, (rows, left_out) in (
        (date(2025, 2, 28), (2, 0)),
        (date(2025, 3, 1), (1, 1)),
        (date(2025, 3, 2), (1, 1)),
    ):
        Property.objects.filter(pk=place.pk).update(records_since=day)
        if day == date(2025, 2, 28):
            make.stopgap(station=station, on=date(2025, 1, 1), removed_on=date(2025, 3, 1))
            make.stopgap(station=make.station(controller=station.controller), on=date(2025, 1, 1))
        every = found(place)
        assert (len(every.rows), every.over_before_seen) == (rows, left_out)
        assert all(row.seen == day for row in every.rows)


def returned(station: Station, how: HowReturned, **given: date) -> FaultStation:
    fault = make.fault(station, stage=Stage.RETURNED.value, **given)
    link = fault.stations.get()
    link.stage, link.how_returned = Stage.RETURNED.value, how.value
    link.save()
    return link


@pytest.mark.parametrize("how", [HowReturned.MENDED, HowReturned.SPARE, HowReturned.NEW_WIRE])
def test_how_it_came_back_is_its_end(station: Station, how: HowReturned) -> None:
    make.stopgap(station=station, on=date(2025, 3, 1), removed_on=date(2025, 4, 1))
    returned(station, how, reported_on=date(2025, 3, 1), closed_on=date(2025, 4, 2))
    assert only(station).end == how.value


def test_a_fault_before_or_after_is_another(station: Station) -> None:
    make.stopgap(station=station, on=date(2025, 3, 1), removed_on=date(2025, 4, 1))
    returned(station, HowReturned.SPARE, reported_on=date(2025, 1, 1), closed_on=date(2025, 2, 28))
    returned(station, HowReturned.MENDED, reported_on=date(2025, 4, 2), closed_on=date(2025, 5, 1))
    assert only(station).end == NOT_WRITTEN


def test_left_so_by_the_client_is_an_end_of_its_own(station: Station) -> None:
    make.stopgap(station=station, on=date(2025, 3, 1), removed_on=date(2025, 4, 1))
    make.stopgap(station=station, on=date(2025, 4, 1), reason="client's choice")
    row = only(station)
    assert (row.until, row.end, row.reason) == (date(2025, 4, 1), CLIENT, "wire")


def test_what_the_client_chose_from_the_start_goes_on(station: Station) -> None:
    make.stopgap(station=station, on=date(2025, 3, 1), reason="client's choice")
    assert only(station).end is None


def test_retired_and_not_meant_are_no_repair(station: Station) -> None:
    make.stopgap(station=station, on=date(2025, 3, 1), removed_on=date(2025, 4, 1))
    Station.objects.filter(pk=station.pk).update(retired_on=date(2025, 4, 1))
    assert only(station).end == RETIRED
    Station.objects.filter(pk=station.pk).update(retired_on=date(2025, 4, 2))
    assert only(station).end == NOT_WRITTEN
    other = make.station()
    make.stopgap(station=other, on=date(2025, 3, 1))
    make.central_state(
        controller=other.controller, state=Central.NOT_MEANT, from_on=date(2025, 5, 1)
    )
    assert only(other).end == RETIRED


def test_a_group_is_known_from_a_day_on(station: Station) -> None:
    make.stopgap(station=station, on=date(2025, 3, 1))
    fault = make.fault(station, reported_on=date(2025, 3, 2))
    make.break_found(fault=fault, cause=Cause.RODENT, found_on=date(2025, 3, 20))
    late, early = make_jobs.crew(name="Late"), make_jobs.crew(name="Early")
    for crew, day, state in (
        (late, date(2025, 3, 9), JobState.DONE),
        (early, date(2025, 3, 8), JobState.DONE),
        (late, date(2025, 3, 7), JobState.PLANNED),
    ):
        make_jobs.job(fault=fault, crew=crew, day=day, state=state)
    row = only(station)
    assert row.cause == (Cause.RODENT, date(2025, 3, 20))
    assert row.crew == ("Early", date(2025, 3, 8))
    lasted = row.lasted(date(2025, 3, 20))
    assert lasted is not None
    assert (lasted.entry, lasted.exit) == (0, 87)
    assert row.lasted(TODAY) is None


def test_what_is_kept_is_by_reason_place_cause_and_crew(station: Station) -> None:
    place = station.controller.property
    for n in range(6):
        one = station if not n else make.station(controller=station.controller)
        start = date(2025, 1, 1) + timedelta(days=n)
        make.stopgap(station=one, on=start, removed_on=start + timedelta(days=20 + n))
    lost = make.station(controller=station.controller)
    make.stopgap(station=lost, on=date(2025, 1, 1), reason="valve or solenoid")
    kept = worked_out(Silent(), places=[place.pk], today=TODAY)
    assert (kept["times"], kept["open"], kept["windows"]) == (7, 1, 0)
    assert kept["all"]["median"][0] == 23
    assert [by["name"] for by in kept["by"]] == ["reason", "property", "cause", "crew"]
    reason, at, cause, _crew = kept["by"]
    assert [(one["name"], one["times"], one["ended"]) for one in reason["groups"]] == [
        ("wire", 6, 6)
    ]
    assert reason["few"] == [["valve or solenoid", 1]]
    assert reason["chance"] is None
    assert at["groups"][0]["name"] == place.code
    assert (cause["groups"], cause["without"]) == ([], 7)


def test_nothing_off_yet_says_so(station: Station) -> None:
    with pytest.raises(UnableToFinish, match="No station has been off"):
        worked_out(Silent(), places=[station.controller.property_id], today=TODAY)
