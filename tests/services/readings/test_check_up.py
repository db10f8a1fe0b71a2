"""A controller's check-up and walk, and its overview, the worst first."""

from datetime import date, timedelta

import numpy as np
import pytest

from faults.models import Reading, ReadingKind, WalkNote, WalkResult
from faults.readings.services.checkup import UnableToCheckUp, check_up, overview, stations_of, walk
from faults.readings.services.readings import UnableToTakeReading
from sites.models import Controller, Station, User
from sites.wires.engines.judge import Judgement
from tests import make

pytestmark = pytest.mark.django_db

TODAY = make.TODAY
EARLIER = [date(2024, month, 1) for month in range(1, 7)]
NOISE = [0.0, 0.2, -0.1, 0.1, -0.2, 0.1]


@pytest.fixture
def clock() -> Controller:
    """Twenty-four stations of which each should read 50.4 ohm."""
    made = make.controller()
    for number in range(1, 25):
        make.station(
            controller=made, number=number, run_length_ft=500.0, wire_size="18", coil_ohms=44.0
        )
    return made


@pytest.fixture
def person() -> User:
    """A user with a meter."""
    return make.user()


def measured_before(station: Station) -> None:
    """Give the station half a year of sound readings."""
    for day, off in zip(EARLIER, NOISE, strict=True):
        make.reading(station=station, taken_on=day, value=50.0 + off, temperature_f=68.0)


def keep(values: dict[Station, float], person: User) -> list[Reading]:
    """Check up with these ohms today."""
    return check_up(
        values=[(station, ReadingKind.OHMS, ohms) for station, ohms in values.items()],
        taken_on=TODAY,
        today=TODAY,
        by=person,
        taken_by="Tess",
        temperature_f=68.0,
    )


def test_of_24_readings_the_short_and_the_creeping_one_stand_first(
    clock: Controller, person: User
) -> None:
    stations = stations_of(clock)
    measured_before(stations[6])
    ohms = dict.fromkeys(stations, 50.0) | {stations[6]: 53.0, stations[17]: 3.0}
    assert len(keep(ohms, person)) == 24
    first, second, *rest = overview(clock)
    assert (first.station, first.judged and first.judged.judgement) == (
        stations[17],
        Judgement.SHORT_ON_THE_WAY,
    )
    assert (second.station, second.is_creeping) == (stations[6], True)
    assert [line.station for line in rest] == [
        s for s in stations if s not in ohms or ohms[s] == 50
    ]
    assert not any(line.is_creeping for line in rest)


def test_when_one_value_cannot_be_nothing_is_written(clock: Controller, person: User) -> None:
    stations = stations_of(clock)
    with pytest.raises(UnableToTakeReading, match=":24:"):
        keep(dict.fromkeys(stations, 50.0) | {stations[23]: 99_999_999.0}, person)
    assert not Reading.objects.exists()


def test_a_check_up_of_nothing_is_refused(person: User) -> None:
    with pytest.raises(UnableToCheckUp):
        keep({}, person)


def test_each_reading_of_a_check_up_has_a_history_row(clock: Controller, person: User) -> None:
    kept = keep(dict.fromkeys(stations_of(clock), 50.0), person)
    assert all(reading.history.count() == 1 for reading in kept)


def test_retired_stations_are_not_checked_up(clock: Controller) -> None:
    station = stations_of(clock)[0]
    station.retired_on = TODAY
    station.save()
    assert station not in stations_of(clock)


def test_an_open_station_stands_before_a_short_one(clock: Controller) -> None:
    stations = stations_of(clock)
    make.reading(station=stations[3], value=3.0)
    make.reading(station=stations[9], value=9_999_999.0)
    assert [line.station for line in overview(clock)[:2]] == [stations[9], stations[3]]


def test_the_overview_tells_how_far_off_a_station_reads(clock: Controller) -> None:
    make.reading(station=stations_of(clock)[0], value=2 * 50.385)
    line = overview(clock)[0]
    assert line.deviation == pytest.approx(1.0, abs=0.001)


def test_readings_before_a_swap_of_wire_set_no_limits(clock: Controller) -> None:
    station = stations_of(clock)[0]
    measured_before(station)
    wire = make.wire(property=clock.property)
    make.reading(station=station, wire=wire, taken_on=TODAY, value=56.0)
    assert not any(line.is_creeping for line in overview(clock))


def test_what_was_too_high_when_it_was_kept_is_so_on_the_overview(clock: Controller) -> None:
    station = stations_of(clock)[0]
    make.reading(station=station, taken_on=EARLIER[0], value=41.0)
    make.reading(station=station, value=50.0)
    line = overview(clock)[0]
    assert line.judged is not None
    assert (line.station, line.judged.judgement) == (station, Judgement.PARTIAL)


def test_a_new_coil_sets_limits_of_its_own(clock: Controller) -> None:
    station = stations_of(clock)[0]
    measured_before(station)
    make.reading(station=station, taken_on=TODAY, value=56.0, is_new_coil=True)
    assert not any(line.is_creeping for line in overview(clock))


def test_a_broken_wire_in_the_past_does_not_hide_that_it_creeps(clock: Controller) -> None:
    station = stations_of(clock)[0]
    make.reading(station=station, taken_on=date(2023, 1, 1), value=9_999_999.0)
    make.reading(station=station, taken_on=date(2023, 2, 1), value=2.0)
    make.reading(station=station, taken_on=date(2023, 3, 1), value=210.0)
    measured_before(station)
    make.reading(station=station, taken_on=TODAY, value=53.0, temperature_f=68.0)
    assert overview(clock)[0].is_creeping


def test_what_was_read_on_a_former_wire_is_not_judged(clock: Controller) -> None:
    station = stations_of(clock)[0]
    make.reading(station=station, wire=make.wire(property=clock.property), value=900.0)
    (line,) = [line for line in overview(clock) if line.station == station]
    assert line.judged is not None
    assert line.judged.judgement is Judgement.NOT_KNOWN


def test_a_station_that_was_seen_dead_needs_a_look(clock: Controller, person: User) -> None:
    station = stations_of(clock)[4]
    seen(station, WalkResult.DEAD, person)
    assert [line.station for line in overview(clock) if line.needs_a_look] == [station]
    assert overview(clock)[0].station == station


def test_the_overview_asks_the_same_number_of_queries_however_many_stations(
    clock: Controller, django_assert_max_num_queries: object
) -> None:
    for station in stations_of(clock):
        measured_before(station)
    with django_assert_max_num_queries(10):  # type: ignore[operator]
        overview(clock)


def seen(station: Station, result: str, person: User, day: date = TODAY) -> WalkNote:
    """Note one station on a walk."""
    (note,) = walk(seen=[(station, result, "")], seen_on=day, today=TODAY, by=person)
    return note


def test_walking_again_on_the_same_day_puts_the_note_right(clock: Controller, person: User) -> None:
    station = stations_of(clock)[0]
    seen(station, WalkResult.DEAD, person)
    note = seen(station, WalkResult.WORKS, person)
    assert WalkNote.objects.get().result == WalkResult.WORKS
    assert [row.result for row in note.history.all()] == [WalkResult.WORKS, WalkResult.DEAD]


def test_the_overview_shows_the_newest_walk(clock: Controller, person: User) -> None:
    station = stations_of(clock)[0]
    seen(station, WalkResult.TIMER, person)
    seen(station, WalkResult.WORKS, person, TODAY - timedelta(days=9))
    (line,) = [line for line in overview(clock) if line.station == station]
    assert line.walked is not None
    assert line.walked.result == WalkResult.TIMER


def test_a_walk_that_saw_nothing_is_refused(person: User) -> None:
    with pytest.raises(UnableToCheckUp):
        walk(seen=[], seen_on=TODAY, today=TODAY, by=person)


def test_a_walk_on_a_day_to_come_is_refused(clock: Controller, person: User) -> None:
    with pytest.raises(UnableToCheckUp) as refusal:
        seen(stations_of(clock)[0], WalkResult.WORKS, person, TODAY + timedelta(days=1))
    assert refusal.value.field == "seen_on"


def test_a_year_of_sound_stations_creeps_nowhere(clock: Controller) -> None:
    """Twenty-two sound stations read monthly while the ground goes from 11 to 31 C."""
    random = np.random.default_rng(5)
    stations = stations_of(clock)[:22]
    for station in stations:
        for month, celsius in enumerate((11.0, 13.0, 18.0, 24.0, 28.0, 31.0), start=2):
            value = 50.0 * (1 + 0.00393 * (celsius - 20)) + 0.1 * random.standard_normal()
            day = date(TODAY.year - 1, month, 3)
            make.reading(
                station=station, taken_on=day, value=value, temperature_f=celsius * 1.8 + 32
            )
    lines = [line for line in overview(clock) if line.station in stations]
    assert len(lines) == 22
    assert not [line for line in lines if line.needs_a_look]
